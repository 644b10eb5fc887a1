"""Rows that come again and again: written once as a subroutine, where that saves words."""

from collections.abc import Callable

from budget.lowering.passes.flow import GOES_AWAY, is_modified
from budget.lowering.text import Row, takes_place

Words = Callable[[Row], int]
"""How many words a row takes, in parts of a word where a word holds several."""
LEAST, MOST = 2, 24
"""Rows of a piece that is shared."""


def outlined(rows: list[Row], words: Words) -> list[Row]:
    """With what saves most written as a subroutine; again and again until nothing does."""
    while True:
        found = _best(rows, words)
        if found is None:
            return rows
        rows = _with_routine(rows, *found)


def _best(rows: list[Row], words: Words) -> tuple[list[int], int] | None:
    """The places and the length of the piece that saves most."""
    by_text: dict[tuple[tuple[str, str], ...], list[int]] = {}
    for begin in range(len(rows)):
        if is_modified(rows, begin):
            continue
        piece: list[tuple[str, str]] = []
        for at in range(begin, min(begin + MOST, len(rows))):
            if not _can_move(rows, at, is_first=at == begin):
                break
            piece.append((rows[at].order, rows[at].operand))
            if len(piece) >= LEAST and not is_modified(rows, at + 1):
                by_text.setdefault(tuple(piece), []).append(begin)
    best, most = None, 0
    call, back = words(Row((), "call", "x")), words(Row((), "back"))
    for key, begins in by_text.items():
        places = _apart(begins, len(key))
        size = sum(words(Row((), *each)) for each in key)
        saved = (len(places) - 1) * size - len(places) * call - back
        if len(places) > 1 and saved > most:
            best, most = (places, len(key)), saved
    return best


def _can_move(rows: list[Row], at: int, *, is_first: bool) -> bool:
    """Whether a row can stand in a subroutine as it stands here: nothing leads into it, and it leads nowhere."""
    row = rows[at]
    if row.labels and not is_first:
        return False
    return not (takes_place(row.order) or row.order in GOES_AWAY)


def _apart(begins: list[int], long: int) -> list[int]:
    """Those of some places at which pieces of a length do not overlap."""
    kept: list[int] = []
    for begin in begins:
        if not kept or begin >= kept[-1] + long:
            kept.append(begin)
    return kept


def _with_routine(rows: list[Row], places: list[int], long: int) -> list[Row]:
    name = _fresh(rows)
    body = [row._replace(labels=()) for row in rows[places[0] : places[0] + long]]
    kept: list[Row] = []
    at = 0
    while at < len(rows):
        if at in places:
            kept.append(Row(rows[at].labels, "call", name))
            at += long
        else:
            kept.append(rows[at])
            at += 1
    return [*kept, body[0]._replace(labels=(name,)), *body[1:], Row((), "back")]


def _fresh(rows: list[Row]) -> str:
    taken = {label for row in rows for label in row.labels}
    number = 1
    while f"part{number}" in taken:
        number += 1
    return f"part{number}"
