"""Proofreading: what was typed, punched or read back, against the image.

Both are compared row by row.  How the image is cut in rows is not certain: a file may have the rows of the listing,
those that its format usually has, or some of its own, as when a machine prints its whole store.  Of these, what needs
the fewest slips to explain it is taken; each word of a missing row counts as one.  Words beside the image are no slips
where the rows are the file's own.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from budget.card import CostCard
from budget.images.compare_rows import compared
from budget.images.image import Image, Notation, Reading, Row, cut, words_in
from budget.images.load import Read
from budget.images.slips import FILE, START, Due, Slip, weight


class Proofread(NamedTuple):
    """What was found.

    slips: in the order of the file; rows: how many it has; due, right: words of the image, and how many of them a
    machine would hold that loads the file; beside: words at other addresses; loaded: all that it would hold, by
    address, None where something stands for a word that is none.
    """

    slips: tuple[Slip, ...]
    rows: int
    due: int
    right: int
    beside: int
    loaded: dict[int, int] | None


class _View(NamedTuple):
    """One way to cut the image in rows, and the file's rows as they are compared with it.

    aside: how many of these hold words beside the image, which are then not compared.
    """

    dues: list[Due]
    rows: list[Row]
    aside: int


def proofread(image: Image, dump: Read, card: CostCard) -> Proofread:
    """Every slip in a file that should hold an image."""
    reading = dump.reading
    views = _views(image, reading, dump.format.words_a_row(card))
    explained = [
        (compared(view.dues, view.rows, reading.notation, image.words), view.aside) for view in views
    ]
    slips, _ = min(explained, key=lambda each: sum(map(weight, each[0])) + each[1])
    held = dict(words_in(reading))
    is_whole = all(None not in row.words for row in reading.rows)
    return Proofread(
        (*slips, *_beyond_rows(image, reading)),
        len(reading.rows),
        len(image.words),
        sum(held.get(address) == word for address, word in image.words.items()),
        len(held.keys() - image.words.keys()),
        held if is_whole else None,
    )


def _views(image: Image, reading: Reading, words_a_row: int) -> Iterator[_View]:
    """The image in its own rows, in those that the file's format has, and in the file's."""
    rows = list(reading.rows)
    yield _View(_dues(image, image.rows), rows, 0)
    yield _View(_dues(image, list(cut(image.words, words_a_row))), rows, 0)
    parts = [part for row in rows for part in _parts(row, image)]
    own = dict.fromkeys(map(_addresses, parts))
    missing = image.words.keys() - {address for row in own for address in row}
    dues = sorted([*own, *cut(missing, words_a_row)], key=lambda row: (row.start, row.stop))
    aside = sum(not all(address in image.words for address in _addresses(row)) for row in rows)
    yield _View(_dues(image, dues), parts, aside)


def _dues(image: Image, rows: Sequence[range]) -> list[Due]:
    return [Due(row.start, tuple(image.words[address] for address in row)) for row in rows]


def _addresses(row: Row) -> range:
    return range(row.address, row.address + len(row.cells))


def _parts(row: Row, image: Image) -> Iterator[Row]:
    """What of a row lies in the image: the row itself if all does."""
    addresses = _addresses(row)
    inside = [address for address in addresses if address in image.words]
    if len(inside) == len(addresses):
        yield row
        return
    for part in cut(inside, len(addresses)):
        cells = row.cells[part.start - row.address : part.stop - row.address]
        yield Row(row.line, part.start, cells, None)


def _beyond_rows(image: Image, reading: Reading) -> Iterator[Slip]:
    """What is wrong with the start, and with the file as a whole."""
    if None not in (image.start, reading.start) and image.start != reading.start:
        should, stands = (_place(place, reading.notation) for place in (image.start, reading.start))
        yield Slip(START, 0, image.start or 0, 0, should, stands)
    for fault in reading.faults:
        yield Slip(FILE, fault.line, 0, remark=fault.message)


def _place(place: int | None, notation: Notation) -> str:
    return notation.address(place or 0)
