"""`wordtight grade`: a folder of attempts, judged."""

import re
import shlex
import sys

import click

from games.problems import bad
from solver.header import CLAIMS, SEATS
from workbench.grading.attempts import attempts_in
from workbench.grading.bar import Bar
from workbench.grading.grade import grade
from workbench.grading.journal import Journal
from workbench.grading.record import grading_record
from workbench.grading.request import asked
from workbench.grading.tell import tell
from workbench.grading.writing import begin_folder, write_grading
from workbench.options import house_option
from workbench.output import emit_json, json_option, say_next, typed
from workbench.statuses import STATUS_UNFINISHED

MOST_WRONG = 9
OF_ONE_RUN = ("resume", "force", "as_json")
"""Options that are for a single run."""


@click.command("grade")
@click.argument("folder", type=click.Path())
@click.option("--game", required=True, metavar="GAME", help="The game: a name of the catalogue, or a file.")
@click.option(
    "--seat",
    required=True,
    type=click.Choice(SEATS),
    help="Whether the machine moves first or second, or both.",
)
@click.option("--claim", type=click.Choice(CLAIMS), default=CLAIMS[0], help="What must hold; never-loses.")
@house_option
@click.option("--machine", metavar="M", help="A machine, for words and seconds (15 s or more an attempt).")
@click.option("--rubric", metavar="FILE", help="How points are given, if not as 'new rubric' writes it.")
@click.option("--conversation", metavar="FILE", help="For programs that have no file of their own.")
@click.option(
    "--start", "starts", multiple=True, metavar="ENDING=COMMAND", help="What starts a program, as .bas=basic"
)
@click.option(
    "--wrong", type=click.IntRange(0, MOST_WRONG), default=1, help="Wrong inputs in a program's line; 1."
)
@click.option(
    "--time", "seconds", type=click.FloatRange(min=1), default=60, help="Seconds for a program; 60."
)
@click.option("--anonymous", is_flag=True, help="Call attempts by numbers, in the order of their names.")
@click.option("-o", "--output", metavar="DIR", default="graded", help="The folder to write; graded.")
@click.option("--resume", is_flag=True, help="Judge only what DIR does not hold yet, or what has changed.")
@click.option("--force", is_flag=True, help="Begin anew in a DIR that is there already.")
@json_option
@click.pass_context
def command(
    context: click.Context,
    /,
    folder: str,
    game: str,
    seat: str,
    claim: str,
    house_rules: str | None,
    machine: str | None,
    rubric: str | None,
    conversation: str | None,
    starts: tuple[str, ...],
    wrong: int,
    seconds: float,
    anonymous: bool,
    output: str,
    resume: bool,
    force: bool,
    as_json: bool,
) -> None:
    """Judge every attempt in FOLDER: rule sheets, tables and programs.

    Verdict and shortest losing line, mistakes by kind, and points by a rubric;
    as pages to hand back, a table and a report. Ends with status 0 whatever is
    found, and 3 if something could not be judged to the end.
    """
    request = asked(
        game,
        seat,
        claim=claim,
        house_rules=house_rules or "usual",
        machine=machine,
        rubric=rubric,
        wrong=wrong,
        seconds=seconds,
    )
    attempts = attempts_in(
        folder,
        anonymous=anonymous,
        starts=dict(map(_started, starts)),
        conversation=conversation,
        apart=(game, house_rules, machine, rubric, conversation, output),
    )
    results = begin_folder(output, may_be_there=resume or force)
    with Journal(results, request, resume=resume) as journal, Bar() as bar:
        graded = grade(request, attempts, journal=journal, told=bar)
    files = write_grading(results, graded)
    if as_json:
        emit_json({**grading_record(graded), "folder": output, "files": files})
    else:
        tell(graded, output, files)
        say_next(f"wordtight grade {typed(folder)}{_given(context)} --resume", "when some of them are mended")
    sys.exit(0 if graded.is_whole else STATUS_UNFINISHED)


def _given(context: click.Context) -> str:
    """The options as they were typed, but for those that say how results are written."""
    said = []
    for option in context.command.params:
        name, value = str(option.name), context.params.get(str(option.name))
        if isinstance(option, click.Option) and name not in OF_ONE_RUN and _is_typed(context, name):
            values = value if isinstance(value, tuple) else (value,)
            said += [
                option.opts[0] if each is True else f"{option.opts[0]} {typed(str(each))}" for each in values
            ]
    return "".join(f" {each}" for each in said)


def _is_typed(context: click.Context, name: str) -> bool:
    return context.get_parameter_source(name) is click.core.ParameterSource.COMMANDLINE


def _started(text: str) -> tuple[str, list[str]]:
    """An ending, and the words of what starts files that end so."""
    found = re.fullmatch(r"(\.[\w.-]+)=(.+)", text)
    if found is None:
        raise bad(f"'{text}' is no way to start a program; expected such as --start .bas=basic")
    return found[1].lower(), shlex.split(found[2])
