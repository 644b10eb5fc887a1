"""`wordtight drill`: a program, as built, through every line of play."""

import sys
from collections.abc import Sequence
from typing import NoReturn

import click

from games.codes import PLAYERS
from solver.header import CLAIMS
from workbench.drill.asked import Asked, make_ready
from workbench.drill.bookmark import Bookmark, request_digest
from workbench.drill.record import drill_record, junit
from workbench.drill.rehearse import record, rehearse
from workbench.drill.rehearse import tell as tell_rehearsed
from workbench.drill.report import FAULT, NO_FAULT, Found, drill, shown_command
from workbench.drill.tell import tell
from workbench.evidence.drilled import Transcripts
from workbench.files import refuse_existing, write_new
from workbench.options import evidence_option, house_option
from workbench.output import emit_json, json_option, say, say_evidence, say_next, typed
from workbench.progress import ProgressLine
from workbench.statuses import STATUS_UNFINISHED, STATUS_WRONG

MOST_WRONG = 9
Request = tuple[Sequence[str], str, str, str, str, str | None]
"""The program; the game, the seat, the claim and the house rules as the user names them; the conversation file."""


@click.command("drill")
@click.argument("program", nargs=-1, required=True, metavar="PROGRAM [ARGUMENT]...")
@click.option("--game", required=True, metavar="GAME", help="The game: a name of the catalogue, or a file.")
@click.option(
    "--seat", required=True, type=click.Choice(PLAYERS), help="Whether the machine moves first or second."
)
@click.option(
    "--claim", type=click.Choice(CLAIMS), default="never-loses", help="What it must hold; never-loses."
)
@house_option
@click.option("--conversation", metavar="FILE", help="How it converses, if not in the house rules' words.")
@click.option(
    "--wrong", type=click.IntRange(0, MOST_WRONG), default=2, help="Wrong inputs in a line, at most; 2."
)
@click.option("--time", "seconds", type=click.FloatRange(min=0), default=600, help="Seconds in all; 600.")
@click.option(
    "--games", type=click.IntRange(min=0), default=1000, help="Games at random if time is short; 1000."
)
@click.option("--first", "first_only", is_flag=True, help="End with the first line that shows a fault.")
@click.option("--rehearse", "only_one", is_flag=True, help="Play one game, and show how it is understood.")
@click.option("--resume", "mark", metavar="FILE", help="Go on where FILE says; it is kept until all is done.")
@click.option("--junit", "report", metavar="FILE", help="Write the report for a test runner as well.")
@evidence_option("every answer")
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
@json_option
def command(
    program: Sequence[str],
    game: str,
    seat: str,
    claim: str,
    house_rules: str | None,
    conversation: str | None,
    wrong: int,
    seconds: float,
    games: int,
    first_only: bool,
    only_one: bool,
    mark: str | None,
    report: str | None,
    evidence_file: str | None,
    force: bool,
    as_json: bool,
) -> None:
    """Play PROGRAM through every line, wrong input included.

    PROGRAM reads what is keyed in and prints its answers: a .py, .sh or .pl file,
    or any command (put -- before one that has options of its own). It runs as
    a process with limits. Ends with status 0 if no fault is found, 1 if one is,
    3 if there was no time for all lines.

    A strategy with --machine M is drilled as the program that `build` makes of
    it: see wordtight drill --machine M --help.
    """
    if evidence_file is not None and (mark is not None or only_one):
        raise click.UsageError("evidence is of a whole drill; expected no --resume and no --rehearse with it")
    if not force:
        refuse_existing(report, evidence_file)
    request = (program, game, seat, claim, house_rules or "usual", conversation)
    if only_one:
        _rehearse(request, as_json=as_json)
    with ProgressLine() as progress:
        asked = make_ready(*request[1:], progress)
        transcripts = Transcripts(asked, game, request[4], conversation, wrong) if evidence_file else None
        found = drill(
            asked,
            program,
            wrong=wrong,
            seconds=seconds,
            games=games,
            bookmark=None if mark is None else Bookmark(mark, request_digest(*request)),
            enough=lambda ledger: first_only and ledger.total() > 0,
            listen=None if transcripts is None else transcripts.hear,
            report=progress,
        )
    if report is not None:
        write_new(report, junit(found, asked, shown_command(program)), overwrite=force)
    if evidence_file is not None and transcripts is not None:
        write_new(evidence_file, transcripts.evidence(found, program), overwrite=force)
    if as_json:
        emit_json(drill_record(found, asked, shown_command(program)))
    else:
        _tell(found, asked, program, evidence_file)
    sys.exit(_status(found))


def _rehearse(request: Request, *, as_json: bool) -> NoReturn:
    """One game, and how it was understood."""
    program = request[0]
    with ProgressLine() as progress:
        rehearsed = rehearse(make_ready(*request[1:], progress), program)
    if as_json:
        emit_json(record(rehearsed))
    else:
        tell_rehearsed(rehearsed)
        say_next(*_after_rehearsal(program, rehearsed.is_understood))
    sys.exit(0 if rehearsed.is_understood else STATUS_WRONG)


def _tell(found: Found, asked: Asked, program: Sequence[str], evidence: str | None) -> None:
    tell(found, asked, shown_command(program))
    if evidence is not None:
        say()
        say_evidence(evidence)
    say_next(*_after_drill(program, found, asked))


def _status(found: Found) -> int:
    return {NO_FAULT: 0, FAULT: STATUS_WRONG}.get(found.verdict, STATUS_UNFINISHED)


def _after_rehearsal(program: Sequence[str], is_understood: bool) -> tuple[str, str]:
    if is_understood:
        return f"wordtight drill {_typed(program)} ...", "every line, without --rehearse"
    return "wordtight new conversation", "say what the program prints"


def _after_drill(program: Sequence[str], found: Found, asked: Asked) -> tuple[str, str]:
    if found.verdict == FAULT:
        options = f"--game {typed(asked.game.name)} --seat {PLAYERS[asked.game.seat]} --rehearse"
        return f"wordtight drill {_typed(program)} {options}", "was it understood?"
    if found.verdict == NO_FAULT:
        return f"wordtight solve {typed(asked.game.name)}", "what is the game itself worth?"
    return "wordtight drill ... --time 3600", "all lines, if you can wait"


def _typed(program: Sequence[str]) -> str:
    return " ".join(map(typed, program))
