"""`wordtight repair`: the least change that makes a claim true."""

import sys
from pathlib import Path

import click

from games.game import scored
from games.problems import bad
from solver.least.choices import Hopeless
from solver.least.stopped import NotFound
from solver.load import Written
from workbench.asked import Asked
from workbench.coaching.mending import ANSWERS, PICTURES, Mended, files_of, mend
from workbench.coaching.tell_mending import mended_record, tell_mended
from workbench.files import refuse_existing
from workbench.least_line import least_line
from workbench.options import (
    carried,
    claim_option,
    game_option,
    house_option,
    one_seat_option,
    strategy_argument,
)
from workbench.output import emit_json, json_option, say, say_next, typed
from workbench.statuses import STATUS_INTERRUPTED, STATUS_UNFINISHED, STATUS_WRONG
from workbench.written import write_strategy

SECONDS = 60.0
"""How long to look unless told."""


@click.command("repair")
@strategy_argument
@game_option
@one_seat_option
@claim_option
@house_option
@click.option(
    "--least",
    "kind",
    type=click.Choice((PICTURES, ANSWERS)),
    help="What to put in front; pictures unless told, where there are some.",
)
@click.option(
    "--time", "seconds", type=click.FloatRange(0.1), default=SECONDS, help="Seconds; 60 unless told."
)
@click.option(
    "-o", "out", type=click.Path(dir_okay=False), metavar="SHEET", help="Where to write the mended sheet."
)
@click.option("--force", is_flag=True, help="Write over a file that is there.")
@json_option
def command(
    strategy: str,
    kind: str | None,
    seconds: float,
    out: str | None,
    force: bool,
    as_json: bool,
    **options: str | None,
) -> None:
    """Find the least change with which the claim of STRATEGY holds.

    The fewest pictures, or stored answers, that have to be put in front of its
    rules; the proof that fewer will not do; and which of its rules can go then
    without harm. Ends with status 0 if that is proved, 3 if a gap is left, and
    1 if nothing can make the claim hold.
    """
    written = Asked(strategy, **options).written()
    if written.claim == "never-loses" and scored(written.game) is not None:
        raise bad("moves score here; expected --claim best-value", strategy)
    if out is not None and not force:
        refuse_existing(out)
    with least_line() as line:
        try:
            mended = mend(written, kind, seconds, line)
        except Hopeless:
            _hopeless(written, as_json=as_json)
            sys.exit(STATUS_WRONG)
        except NotFound as error:
            click.echo(
                f"No change was found in time; it takes {error.bound:,} at least. Give more with --time.",
                err=True,
            )
            sys.exit(STATUS_INTERRUPTED if line.interrupted else STATUS_UNFINISHED)
    if out is not None and mended.number:
        files = files_of(written, mended, options["game"], Path(out))
        write_strategy(files, written.seats[0], written.claim, options["game"], overwrite=force)
    if as_json:
        emit_json(mended_record(mended))
    else:
        tell_mended(mended, strategy)
        _say_next(written, mended, out, carried(**options))
    complete = mended.bound == mended.number and mended.spared.complete
    sys.exit(STATUS_INTERRUPTED if line.interrupted else 0 if complete else STATUS_UNFINISHED)


def _hopeless(written: Written, *, as_json: bool) -> None:
    """Say that nothing that could be put in front would make the claim hold."""
    if as_json:
        emit_json({"game": written.game.name, "claim": written.claim, "count": None})
        return
    say("THIS SEAT IS LOST under best play: nothing that is put in front can make the claim hold.")
    say_next(f"wordtight solve {typed(written.game_name)}", "which seat can be held at all")


def _say_next(written: Written, mended: Mended, out: str | None, options: str) -> None:
    file = typed(written.file)
    if not mended.number:
        say_next(f"wordtight size {file} --machine twelve-bit{options}", "does it fit a machine?")
    elif out is None:
        least = f" --least {ANSWERS}" if mended.kind == ANSWERS and mended.pictures is None else ""
        say_next(f"wordtight repair {file}{options}{least} -o mended.rules", "write it down")
    else:
        say()
        say(f"Written: {out}")
        say_next(f"wordtight prove {typed(out)}", "see that it holds")
