"""`wordtight paper STRATEGY KIND`: what is printed for the people around a machine."""

import sys
from importlib import import_module
from pathlib import Path
from typing import NoReturn, Protocol, cast

import click

from games.codes import PLAYERS
from games.problems import listed
from workbench.asked import Asked
from workbench.built_strategy import Refused
from workbench.files import refuse_existing, write_new
from workbench.main import STATUS_WRONG
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

OPTIONS = {
    "cutouts": ("fixed_board",),
    "playbook": (),
    "poster": ("time",),
}
"""The kinds, each with the options of `Wanted` that are for it."""

SECONDS = 60.0
"""How long to look for a shorter list of pictures, unless told."""


class Kind(Protocol):
    """What the module of a kind gives."""

    def paper(self, request: Request) -> Paper:
        """The page."""
        ...


@click.command("paper")
@strategy_argument
@click.argument("kind", type=click.Choice(list(OPTIONS)))
@click.option("-o", "--output", metavar="FILE", help="The page to write; STRATEGY-KIND.html unless told.")
@game_option
@one_seat_option
@claim_option
@house_option
@click.option("--fixed-board", is_flag=True, help="cutouts: a card for each board, none is turned.")
@click.option(
    "--time",
    "seconds",
    type=click.FloatRange(0),
    help="poster: seconds in which to look for a shorter list; 60 unless told.",
)
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
@json_option
def command(
    strategy: str,
    kind: str,
    output: str | None,
    game: str | None,
    seat: str | None,
    claim: str | None,
    house_rules: str | None,
    fixed_board: bool,
    seconds: float | None,
    force: bool,
    as_json: bool,
) -> None:
    r"""Print STRATEGY on A4: a page for any browser.

    \b
    cutouts   every stored answer as a card, to act the machine with
    playbook  a book to finish a game by hand when the machine has stopped
    poster    a list of pictures on one sheet, and what is proved about it

    Ends with status 1, and writes nothing, if the claim does not hold.
    """
    asked = Asked(strategy, game, seat, claim, house_rules)
    _check_options(kind, Wanted(fixed_board=fixed_board, time=seconds))
    wanted = Wanted(fixed_board=fixed_board, time=SECONDS if seconds is None else seconds)
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


def _check_options(kind: str, wanted: Wanted) -> None:
    """Raise UsageError for an option that is for other kinds."""
    for option, value in wanted._asdict().items():
        if value and option not in OPTIONS[kind]:
            kinds = listed([name for name, options in OPTIONS.items() if option in options])
            raise click.UsageError(f"--{option.replace('_', '-')} is for {kinds}; expected none with {kind}")


def _head(asked: Asked, kind: str, file: str | None) -> dict[str, str | None]:
    return {"strategy": asked.file, "kind": kind, "file": file}


def _refuse(asked: Asked, kind: str, refusal: Refused, *, as_json: bool) -> NoReturn:
    """Say why nothing is printed, and end with status 1."""
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
    sys.exit(STATUS_WRONG)


def _afterwards(kind: str, strategy: str) -> tuple[str, str]:
    """What to do next, and why."""
    if kind == "cutouts":
        return f"wordtight paper {strategy} playbook", "for when a machine has stopped"
    return f"wordtight paper {strategy} cutouts", "the machine acted by people"
