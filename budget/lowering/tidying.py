"""A program's rows as they are put in place and shortened: see `tidied`."""

from collections.abc import Callable
from functools import lru_cache

from budget.card import ORDER_SHEET, CostCard
from budget.lowering.choices import Choices
from budget.lowering.passes import (
    copies,
    dead,
    folded,
    jumps,
    order,
    shared,
    tails,
    topmost,
    values,
    workspace,
)
from budget.lowering.text import PROGRAM, WORKSPACE, Row, Text
from budget.machine.layout import PAGE_ZERO
from budget.machine.orders import ORDER_NAMED

Pass = Callable[[list[Row]], list[Row]]
OURS: tuple[Pass, ...] = (values.without_idle_loads, values.looked_up)
"""Passes by which A is used for longer."""
THEIRS: tuple[Pass, ...] = (values.without_idle_loads_nearby,)
"""The same for machines with orders of their own: to count, and to look up, may not leave or take a word in A there."""
PASSES: tuple[Pass, ...] = (
    jumps.threaded,
    jumps.reached,
    jumps.without_idle_jumps,
    jumps.turned_round,
    jumps.calls_at_the_end,
    copies.without_copies,
    dead.without_unasked,
    tails.merged,
)
STARTS: dict[str, tuple[Pass, ...]] = {
    "run into": (order.chained, order.cut),
    "by itself": (order.chained_but_to_the_start,),
}
"""Whether what leads back to the start may be put before it.  That saves a jump; where there are pages, what it moves
into another one may cost more."""
SETTLED = 64
"""Of so many programs it is remembered what the passes made of them: most choices come after the first round."""

WANTED_FIRST = ", most wanted first"
PIECES = ("apart", "shared")
PIECES_ON_PAGES = (*PIECES, *(way + WANTED_FIRST for way in PIECES))
"""Whether pieces that are alike are written once.  On pages, what many call belongs in the first: one choice, since
often neither saves a word alone."""


def tidied(text: Text, choices: Choices) -> dict[str, list[Row]]:
    """The sections of a program with its routines in place, as short as the passes make them."""
    is_paged = text.card.program.layout.is_paged
    start = STARTS[choices.pick("start", tuple(STARTS) if is_paged else ("run into",))]
    passes = (*PASSES, *start, *(THEIRS if text.card.programs == ORDER_SHEET else OURS))
    if text.astray is not None:  # else an address may come to lie before the store
        passes = (*passes, folded.without_sums_of_indices)
    rows = _settled(_with_routines(text), passes)
    pieces = choices.pick("pieces", PIECES_ON_PAGES if is_paged else PIECES)
    if pieces.startswith("shared"):
        rows = _settled(shared.outlined(rows, lambda row: _words(text.card, row)), passes)
    if pieces.endswith(WANTED_FIRST):
        rows = order.most_wanted_first(rows)
    space = workspace.together(rows, text.rows[WORKSPACE])
    if _wraps(text.card):
        space = topmost.topmost(rows, space, text.card.store_words)
    return {**text.rows, PROGRAM: rows, WORKSPACE: space}


def _wraps(card: CostCard) -> bool:
    """Whether what is reckoned past the last word of a machine with orders of its own is the first again."""
    words = 1 << card.word_bits
    return card.programs == ORDER_SHEET and card.store_words == words and card.fixed_words == 0


def _settled(rows: list[Row], passes: tuple[Pass, ...]) -> list[Row]:
    """What passes make of some rows, one after the other and round again, until none of them changes anything."""
    return list(_remembered(tuple(rows), passes))


@lru_cache(maxsize=SETTLED)
def _remembered(begin: tuple[Row, ...], passes: tuple[Pass, ...]) -> tuple[Row, ...]:
    rows = list(begin)
    in_vain = 0
    before: list[Row] = []
    while rows != before:
        before = rows
        for each in passes:
            changed = each(rows)
            in_vain = in_vain + 1 if changed == rows else 0
            rows = changed
            if in_vain == len(passes):
                return tuple(rows)
    return tuple(rows)


def _words(card: CostCard, row: Row) -> int:
    """The places that a row takes, its address in its shortest form."""
    layout = card.program.layout
    return layout.length(ORDER_NAMED[row.order], PAGE_ZERO)


def _with_routines(text: Text) -> list[Row]:
    """Routines after the program, and those that are called once in the place of the call."""
    rows = list(text.rows[PROGRAM])
    routines = dict(text.routines)
    while True:
        everything = [*rows, *(row for routine in routines.values() for row in routine)]
        once = [name for name in routines if sum(_calls(row, name) for row in everything) == 1]
        if not once:
            return everything
        name = once[0]
        body = routines.pop(name)
        rows = _inlined(rows, name, body)
        routines = {other: _inlined(each, name, body) for other, each in routines.items()}


def _calls(row: Row, name: str) -> bool:
    return row.order == "call" and row.operand == name


def _inlined(rows: list[Row], name: str, body: list[Row]) -> list[Row]:
    """Rows with the one call of a routine replaced by its body."""
    for at, row in enumerate(rows):
        if _calls(row, name):
            after = f"{name}_end"
            placed = [
                each._replace(order="jump", operand=after) if each.order == "back" else each for each in body
            ]
            placed[0] = placed[0]._replace(labels=(*row.labels, *placed[0].labels))
            following = rows[at + 1] if at + 1 < len(rows) else Row((), "halt")
            following = following._replace(labels=(after, *following.labels))
            return [*rows[:at], *placed, following, *rows[at + 2 :]]
    return rows
