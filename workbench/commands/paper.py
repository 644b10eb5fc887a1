"""`wordtight paper STRATEGY KIND`: what is printed for the people around a machine."""

import sys
from importlib import import_module
from pathlib import Path
from typing import NoReturn, Protocol, cast

import click
from click.core import ParameterSource

from budget.card import load_machine
from games.codes import PLAYERS
from games.problems import listed
from workbench.asked import Asked
from workbench.built_strategy import Refused
from workbench.files import refuse_existing, write_new
from workbench.form_option import wish_for
from workbench.options import (
    carried,
    claim_option,
    game_option,
    house_option,
    one_seat_option,
    strategy_argument,
)
from workbench.output import emit_json, json_option, say, say_next, typed
from workbench.papers.request import Paper, Request, Wanted, request
from workbench.pictures.page import page
from workbench.progress import ProgressLine

PROGRAM = ("encoding", "check_sum", "check_between", "keep_verdicts")
"""The options of `build`, for kinds that are about a program."""
OPTIONS = {
    "cutouts": ("fixed_board",),
    "playbook": (),
    "card": ("machine", *PROGRAM, "drill"),
    "poster": ("time",),
    "trace": ("machine", *PROGRAM, "line", "blank", "last"),
}
"""The kinds, each with the options that are only for some."""

SECONDS = 60.0
"""How long to look for a shorter list of pictures, unless told."""

HELP = """Print STRATEGY on A4: a page for any browser.

\b
cutouts   every stored answer as a card, to act the machine with
playbook  a book to finish a game by hand when the machine has stopped
card      for the operator: care, start, morning games, what it says
poster    a list of pictures on one sheet, and what is proved about it
trace     trace tables of its program for a line of play

Ends with status 1, and writes nothing, if the claim does not hold.
"""
"""A list keeps its lines behind a backspace, and a docstring should hold none."""


class Kind(Protocol):
    """What the module of a kind gives."""

    def paper(self, request: Request) -> Paper:
        """The page."""
        ...


@click.command("paper", help=HELP)
@strategy_argument
@click.argument("kind", type=click.Choice(list(OPTIONS)))
@click.option("-o", "--output", metavar="FILE", help="The page to write; STRATEGY-KIND.html unless told.")
@game_option
@one_seat_option
@claim_option
@house_option
@click.option("--fixed-board", is_flag=True, help="cutouts: a card for each board, none is turned.")
@click.option("--machine", metavar="M", help="card, trace: the machine.")
@click.option("--encoding", metavar="E", help="card, trace: only this form, as in `build`.")
@click.option("--check-sum", is_flag=True, help="card, trace: the program sums its words, as in `build`.")
@click.option("--check-between", is_flag=True, help="card, trace: the same before every game.")
@click.option("--keep-verdicts", is_flag=True, help="card, trace: as in `build`.")
@click.option(
    "--drill", metavar="TABLE", help="card: morning games for these faults, from `drill --faults -o`."
)
@click.option("--line", metavar="INPUTS", help='trace: what the visitor types, such as "5 1 9".')
@click.option("--blank", is_flag=True, help="trace: tables to be filled in.")
@click.option("--last", is_flag=True, help="trace: only the table of the last input.")
@click.option(
    "--time",
    type=click.FloatRange(0),
    default=SECONDS,
    help="poster: seconds in which to look for a shorter list; 60 unless told.",
)
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
@json_option
@click.pass_context
def command(
    context: click.Context,
    strategy: str,
    kind: str,
    output: str | None,
    game: str | None,
    seat: str | None,
    claim: str | None,
    house_rules: str | None,
    fixed_board: bool,
    machine: str | None,
    encoding: str | None,
    check_sum: bool,
    check_between: bool,
    keep_verdicts: bool,
    drill: str | None,
    line: str | None,
    blank: bool,
    last: bool,
    time: float,
    force: bool,
    as_json: bool,
) -> None:
    """Print STRATEGY on A4: HELP says the rest."""
    _check_options(context, kind)
    wish = wish_for(encoding, check_sum=check_sum, check_between=check_between, keep_verdicts=keep_verdicts)
    asked = Asked(strategy, game, seat, claim, house_rules)
    wanted = Wanted(
        fixed_board=fixed_board,
        card=None if machine is None else load_machine(machine),
        wish=wish,
        drill=drill,
        line=line,
        blank=blank,
        last=last,
        time=time,
    )
    file = output or f"{Path(strategy).stem}-{kind}.html"
    if not force:
        refuse_existing(file)
    try:
        with ProgressLine() as progress:
            what = request(asked, wanted, progress)
            paper = cast(Kind, import_module(f"workbench.papers.{kind}")).paper(what)
    except Refused as refusal:
        _refuse(asked, kind, refusal, as_json=as_json)
    write_new(file, page(paper.title, paper.body, styles=paper.styles), overwrite=force)
    if as_json:
        emit_json({**_head(asked, kind, file), "seat": PLAYERS[what.game.seat], **paper.record})
        return
    for said in paper.said:
        say(said)
    say()
    say(f"Written: {file}. Print it from any browser: on A4, as large as it is.")
    options = carried(game=game, seat=seat, claim=claim, house_rules=house_rules)
    say_next(*_afterwards(kind, f"{typed(strategy)}{options}"))


def _check_options(context: click.Context, kind: str) -> None:
    """Raise UsageError for an option that is for other kinds, and where there is no machine and one is needed."""
    some = {option for options in OPTIONS.values() for option in options}
    given = [
        option
        for option in context.params
        if option in some and context.get_parameter_source(option) is ParameterSource.COMMANDLINE
    ]
    for option in given:
        if option not in OPTIONS[kind]:
            kinds = listed([name for name, options in OPTIONS.items() if option in options])
            raise click.UsageError(f"--{option.replace('_', '-')} is for {kinds}; expected none with {kind}")
    if "machine" in OPTIONS[kind] and "machine" not in given:
        raise click.UsageError(f"{kind} is about a program on a machine; expected --machine M")
    if "drill" in given and set(given) & set(PROGRAM):
        raise click.UsageError(
            "the table of --drill is about a program that is built; expected no options of build"
        )


def _head(asked: Asked, kind: str, file: str | None) -> dict[str, str | None]:
    return {"strategy": asked.file, "kind": kind, "file": file}


def _refuse(asked: Asked, kind: str, refusal: Refused, *, as_json: bool) -> NoReturn:
    """Say why nothing is printed, and end with the status that says whether that is an answer."""
    if as_json:
        emit_json(
            {
                **_head(asked, kind, None),
                "verdict": refusal.verdict,
                "why": str(refusal),
                "reasons": list(refusal.reasons),
            }
        )
    else:
        say(f"NOTHING IS PRINTED: {asked.file}: {refusal}.")
        for reason in refusal.reasons:
            say(f"{reason}.", indent="    ")
        options = carried(**{name: value for name, value in asked._asdict().items() if name != "file"})
        say_next(f"wordtight prove {typed(asked.file)}{options}", "what is proved about it")
    sys.exit(refusal.status)


def _afterwards(kind: str, strategy: str) -> tuple[str, str]:
    """What to do next, and why."""
    if kind == "cutouts":
        return f"wordtight paper {strategy} playbook", "for when a machine has stopped"
    return f"wordtight paper {strategy} cutouts", "the machine acted by people"
