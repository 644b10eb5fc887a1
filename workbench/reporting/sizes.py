"""The part of a page about store and time: the table on every machine, and whole programs on one."""

from collections.abc import Sequence
from typing import NamedTuple

from budget.card import COMPILER, CostCard, compiled_names, load_machine, machine_names
from budget.forms import Form, lowered_as
from budget.machine.program import Program
from budget.messages import words_of_messages
from budget.packed import Shape
from budget.plan.asked import Candidate
from budget.plan.tradeoffs import Plan
from budget.plan.ways import Way, unbeaten
from budget.program_size import ProgramRow, smallest_row
from budget.size import PROGRAM_IS_NOT_IN_IT, Row, proved_shapes, row_of, workspace_words
from games.problems import BadInput, listed
from solver.fixed import FixedPlay
from workbench.output import plural
from workbench.pictures.html import headed_table, paragraph, section
from workbench.pictures.store import store_svg
from workbench.plan_picture import plan_picture
from workbench.sizing import Sizing
from workbench.tell_size import seconds

TITLES = ("machine", "store", "bits a word", "least table", "board", "words", "left")


class MachineRow(NamedTuple):
    """The smallest table of a strategy on a machine, with its messages and workspace; else why there is none."""

    card: CostCard
    row: Row | None
    reason: str


def on_all_machines(plays: Sequence[FixedPlay]) -> list[MachineRow]:
    """A strategy's smallest table on every machine that comes with Wordtight.

    Every table is packed and read back once; its words then follow from the length of a machine's.
    """
    shapes = [shape for play in plays for shape in proved_shapes(play)]
    names = sorted({*machine_names(), *compiled_names()})
    return [_on_machine(plays[0], shapes, load_machine(name)) for name in names]


def _on_machine(play: FixedPlay, shapes: Sequence[Shape], card: CostCard) -> MachineRow:
    house = play.game.house
    if house.form.kind not in card.reads:
        return MachineRow(card, None, f"it reads by {listed(card.reads)}")
    try:
        messages = words_of_messages(house, card)
    except BadInput as bad:
        return MachineRow(card, None, bad.problems[0].message)
    workspace = workspace_words(play.game.fair, house, card)
    rows = [row_of(shape, card, messages, workspace) for shape in shapes]
    possible = [row for row in rows if row.total_words is not None]
    if not possible:
        return MachineRow(card, None, rows[0].reason or "")
    return MachineRow(card, min(possible, key=lambda row: (row.total_words, row.encoding, row.reading)), "")


def machines_part(found: Sequence[MachineRow]) -> str:
    """The table of machines."""
    rows = []
    for each in found:
        card, row = each.card, each.row
        head = (card.name, f"{card.store_words:,}", card.word_bits)
        if row is None:
            rows.append((*head, f"none: {each.reason}", "", "", ""))
            continue
        rows.append((*head, row.encoding, row.reading, f"{row.total_words:,}", _left(row.margin or 0)))
    told = (
        "All its moves as the smallest table, with what it says and the words that it writes. "
        f"{PROGRAM_IS_NOT_IN_IT}"
    )
    return section("On every machine", [paragraph(told), headed_table(TITLES, rows, figures=(1, 2, 5, 6))])


# One machine ----------------------------------------------------------------------------------------------


def programs_part(sizing: Sizing, card: CostCard, program: Program | None) -> str:
    """Whole programs on one machine: words and time, a picture of one against the other, and the smallest in store."""
    rows = [_program(row) for row in sizing.programs if row.total_words is not None]
    counted = "cycles" if card.programs == COMPILER else "instructions"
    titles = ("form", "board", "words", "left", f"most {counted}", "longest wait")
    fits = "A program fits." if sizing.fits else "No program fits."
    told = (
        f"{card.title}: {card.store_words:,} words of {card.word_bits} bits. {fits} Each that fits was run in every "
        "state that it can get into."
    )
    parts = [paragraph(told), headed_table(titles, rows, figures=(2, 3, 4, 5))]
    ways = unbeaten(_ways(sizing))
    if len(ways) > 1:
        parts.append(_picture(ways, f"{sizing.proof.walk.strategy.name} on {card.name}", card))
    if program is not None:
        parts += [paragraph("The smallest of them in the store:"), store_svg(program)]
    return section(f"On {card.name}, as whole programs", parts)


def smallest_program(sizing: Sizing, card: CostCard) -> Program | None:
    """The smallest program that fits, written once more to be shown; None where there is none in orders."""
    row = smallest_row(sizing.fitting)
    if row is None or card.programs == COMPILER:
        return None
    [play] = [play for play in sizing.plays if play.reading == row.reading]
    return lowered_as(Form(row.form, row.title, play), card).program


def _program(row: ProgramRow) -> tuple[str, ...]:
    """A program as a row of the table."""
    record = row.as_json()
    orders, wait = record["worst_instructions"], record["worst_seconds"]
    took = ("-" if orders is None else f"{orders:,}", "-" if wait is None else seconds(wait))
    return (row.form, row.reading, f"{row.total_words:,}", _left(row.margin or 0), *took)


def _left(words: int) -> str:
    return f"{words:,}" if words >= 0 else f"{-words:,} too many"


def _ways(sizing: Sizing) -> list[Way]:
    """The programs that were run, as a plan has them."""
    strategy = sizing.proof.walk.strategy
    candidate = Candidate(strategy.name, strategy, "")
    play_in = {play.reading: play for play in sizing.plays}
    return [
        Way(candidate, Form(row.form, row.title, play_in[row.reading]), row, None)
        for row in sizing.programs
        if row.replies is not None and row.total_words is not None
    ]


def tradeoffs_part(plan: Plan, card: CostCard) -> str:
    """Every way to play the game on a machine that no other beats, as `wordtight plan` finds them."""
    title = "Store against time"
    if not plan.tradeoffs:
        return section(title, [paragraph("No program that was found fits.")])
    told = f"{plural(plan.tried, 'program')} built, each proved and run in every state; these are beaten by no other:"
    return section(
        title, [paragraph(told), _picture(plan.tradeoffs, f"Ways to play it on {card.name}", card)]
    )


def _picture(ways: Sequence[Way], title: str, card: CostCard) -> str:
    """Words against waiting."""
    unit = "instructions" if card.program.pace is None else "s"
    return plan_picture(ways, title, card.store_words, None, unit)
