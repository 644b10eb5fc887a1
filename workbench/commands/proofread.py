"""`wordtight proofread`: what was typed, punched or read back, against the image."""

import sys
from typing import Any

import click

from budget.card import load_machine
from budget.images.image import Notation
from budget.images.load import load_image, read_rows
from budget.images.proofread import Proofread, proofread
from workbench.asked import Asked
from workbench.fate import fate_of_slips
from workbench.options import (
    carried,
    claim_option,
    game_option,
    house_option,
    machine_option,
    one_seat_option,
)
from workbench.output import emit_json, json_option, plural, say, say_next, typed
from workbench.statuses import STATUS_WRONG
from workbench.tell_fate import fate_record, tell_fate
from workbench.tell_slips import slip_text

MOST_TOLD = 40
"""Slips that are told; `--json` has them all."""


@click.command("proofread")
@click.argument("image", type=click.Path(dir_okay=False))
@click.argument("dump", type=click.Path(dir_okay=False))
@machine_option
@click.option(
    "--strategy",
    metavar="FILE",
    type=click.Path(dir_okay=False),
    help="The strategy that IMAGE plays: play the slips through, and say what comes of them.",
)
@game_option
@one_seat_option
@claim_option
@house_option
@json_option
def command(
    image: str,
    dump: str,
    machine: str,
    strategy: str | None,
    game: str | None,
    seat: str | None,
    claim: str | None,
    house_rules: str | None,
    as_json: bool,
) -> None:
    """Compare DUMP, typed, punched or read back, with IMAGE.

    IMAGE is a file of `wordtight build` or a program (.orders). DUMP is any of
    these files, or rows as a person types them: an address, its words, and if
    you like the sum after '='. Ends with status 1 where there are slips.
    """
    asked = None if strategy is None else Asked(strategy, game, seat, claim, house_rules)
    if asked is None and {game, seat, claim, house_rules} != {None}:
        raise click.UsageError(
            "--game, --seat, --claim and --house-rules are of the strategy; expected --strategy"
        )
    card = load_machine(machine)
    wanted = load_image(image, card)
    dumped = read_rows(dump, card)
    found = proofread(wanted, dumped, card)
    notation = dumped.reading.notation
    fate = None
    if asked is not None and found.slips and found.loaded is not None:
        fate = fate_of_slips(image, wanted, found.loaded, card, asked)
    if as_json:
        record = _record(image, dump, machine, dumped.format.NAME, found, notation)
        emit_json(
            record if asked is None else {**record, "fate": None if fate is None else fate_record(fate)}
        )
    else:
        _tell(dump, found, notation)
        if fate is not None:
            say()
            tell_fate(fate)
        elif asked is not None and found.slips:
            say("Some of it is no word at all, so nobody can say what a machine would play that loads it.")
        if found.slips:
            options = carried(strategy=strategy, game=game, seat=seat, claim=claim, house_rules=house_rules)
            again = f"wordtight proofread {typed(image)} {typed(dump)} --machine {typed(machine)}{options}"
            say_next(again, "again, when it is mended")
    sys.exit(STATUS_WRONG if found.slips else 0)


def _record(
    image: str, dump: str, machine: str, name: str, found: Proofread, notation: Notation
) -> dict[str, Any]:
    """What was found, by its JSON keys."""
    return {
        "image": image,
        "dump": dump,
        "machine": machine,
        "format": name,
        "rows": found.rows,
        "words": found.due,
        "words_right": found.right,
        "words_beside": found.beside,
        "slips": [{**slip._asdict(), "text": slip_text(slip, notation)} for slip in found.slips],
    }


def _tell(dump: str, found: Proofread, notation: Notation) -> None:
    """What was found, in plain sentences."""
    beside = f" Beside the image it has {plural(found.beside, 'word')}." if found.beside else ""
    rows = plural(found.rows, "row")
    if not found.slips:
        say(f"{dump} is right: {rows}, all {plural(found.due, 'word')} of the image.{beside}")
        return
    say(f"{dump}: {plural(len(found.slips), 'slip')} in {rows}.")
    say()
    for slip in found.slips[:MOST_TOLD]:
        say(slip_text(slip, notation), indent="  ")
    if len(found.slips) > MOST_TOLD:
        say(f"... and {len(found.slips) - MOST_TOLD:,} more.", indent="  ")
    say()
    say(f"A machine that loads it holds {found.right:,} of {plural(found.due, 'word')} right.{beside}")
