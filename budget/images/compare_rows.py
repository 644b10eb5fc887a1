"""All slips in the rows of a file, given the rows that are due."""

from collections.abc import Iterator, Mapping, Sequence
from itertools import groupby
from typing import NamedTuple

from budget.images.digits import remark
from budget.images.image import Check, Notation, Row
from budget.images.in_a_row import slips_in_row
from budget.images.pairing import paired, rising
from budget.images.slips import (
    ADDRESS,
    CHECK_BYTE,
    ROW_DOUBLED,
    ROW_MISSING,
    ROW_MOVED,
    ROW_STRANGE,
    ROWS_CHANGED,
    ROWS_MIXED,
    SHIFTED,
    SUM,
    Due,
    Slip,
)

STEPS = {1: "each holds the word that belongs one address further on", -1: "each holds the word before it"}


class _Met(NamedTuple):
    """A row of the file with the one that is due: its place among them, and the slips in its words."""

    place: int
    due: Due
    row: Row
    slips: list[Slip]


def compared(
    dues: Sequence[Due], rows: Sequence[Row], notation: Notation, words: Mapping[int, int]
) -> list[Slip]:
    """Every slip, in the order of the file; a row that is missing stands where it should be.

    `words` are all words of the image by address.
    """
    pairing = paired(dues, rows, notation)
    mixed = {place for pair in pairing.mixed for place in pair}
    at = {place: row for row, place in zip(rows, pairing.due, strict=True) if place is not None}
    met = [
        _Met(place, dues[place], row, slips_in_row(dues[place], row, notation))
        for place, row in sorted(at.items())
        if place not in mixed
    ]
    slips = [
        *_mixed(dues, at, pairing.mixed),
        *_in_words(met, words),
        *(slip for each in met for slip in _around(each, notation)),
        *_too_many(dues, rows, pairing.due),
        *_order(dues, rows, pairing.due),
    ]
    placed = [(slip.line, slip) for slip in slips] + list(_missing(dues, at, notation))
    return [slip for _, slip in sorted(placed, key=lambda each: each[0])]


def _mixed(dues: Sequence[Due], at: Mapping[int, Row], pairs: Sequence[tuple[int, int]]) -> Iterator[Slip]:
    """Rows that have each other's words."""
    for one, two in pairs:
        yield Slip(ROWS_MIXED, at[one].line, dues[one].address, other=dues[two].address)


def _in_words(met: Sequence[_Met], words: Mapping[int, int]) -> Iterator[Slip]:
    """The slips in the words of all rows; rows in which every word is its neighbour are told as one."""
    for (step, _), several in groupby(
        enumerate(met), key=lambda each: (_step(each[1], words), each[1].place - each[0])
    ):
        run = [each for _, each in several]
        slips = [slip for each in run for slip in each.slips]
        if step and len(slips) > 1:
            first, last = run[0].due.address, run[-1].due.address
            other = last if last != first else None
            yield Slip(SHIFTED, run[0].row.line, first, other=other, remark=STEPS[step])
        else:
            yield from slips


def _step(met: _Met, words: Mapping[int, int]) -> int:
    """1 or -1 if every word of a row is the one after or before the one that should be there, else 0."""
    due, row = met.due, met.row
    if not met.slips or not len(due.words) - 1 <= len(row.cells) <= len(due.words):
        return 0
    for step in STEPS:
        if all(words.get(address + step) == word for address, word in enumerate(row.words, due.address)):
            return step
    return 0


def _around(met: _Met, notation: Notation) -> Iterator[Slip]:
    """Slips in a row's address and, where its words are right, in what guards it."""
    due, row = met.due, met.row
    if row.address != due.address:
        should, stands = notation.typed(due.address), notation.typed(row.address)
        what = remark(should, stands, notation.typed_base)
        yield Slip(ADDRESS, row.line, due.address, 0, should, stands, remark=what)
    elif not met.slips and row.check is not None and row.check.is_wrong:
        yield _wrong_check(row.check, due)


def _wrong_check(check: Check, due: Due) -> Slip:
    kind, base = (SUM, 10) if check.spec == "d" else (CHECK_BYTE, 16)
    should, stands = format(check.right, check.spec), format(check.given, check.spec)
    what = remark(should, stands, base)
    return Slip(kind, check.line, due.address, 0, should, stands, remark=what)


def _too_many(dues: Sequence[Due], rows: Sequence[Row], places: Sequence[int | None]) -> Iterator[Slip]:
    """Rows that stand twice, or that no row of the image is like."""
    known = {due.address: due for due in dues}
    for row, place in zip(rows, places, strict=True):
        if place is None:
            due = known.get(row.address)
            what = "" if due is None or due.words == row.words else "and not alike"
            yield Slip(ROW_STRANGE if due is None else ROW_DOUBLED, row.line, row.address, remark=what)


def _order(dues: Sequence[Due], rows: Sequence[Row], places: Sequence[int | None]) -> Iterator[Slip]:
    """Rows that stand in the wrong place: in pairs that have changed, or alone."""
    found = [(row, place) for row, place in zip(rows, places, strict=True) if place is not None]
    rank = {place: number for number, place in enumerate(sorted(place for _, place in found))}
    ranks = [rank[place] for _, place in found]
    rest = []
    for number, ranked in enumerate(ranks):
        if ranked == number or ranks[ranked] != number:
            rest.append(number)
        elif number < ranked:
            row, place = found[number]
            first, second = sorted((dues[place].address, dues[found[ranked][1]].address))
            yield Slip(ROWS_CHANGED, row.line, first, other=second)
    in_order = set(rising([ranks[number] for number in rest]))
    for number in (number for at, number in enumerate(rest) if at not in in_order):
        row, place = found[number]
        yield Slip(ROW_MOVED, row.line, dues[place].address)


def _missing(dues: Sequence[Due], at: Mapping[int, Row], notation: Notation) -> Iterator[tuple[int, Slip]]:
    """Rows that do not stand there, each with the line of the row after which it is missed."""
    line = 0
    for place, due in enumerate(dues):
        if place in at:
            line = at[place].line
        else:
            yield line, Slip(ROW_MISSING, 0, due.address, 0, " ".join(map(notation.word, due.words)))
