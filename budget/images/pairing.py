"""Which row of a file is meant for which row of the image.

Rows that are right are settled first: as many as can be in their order, then those that stand elsewhere; a second one
of the same is doubled.  Then rows of which only the words or only the address is right; and last, rows that stand where
one is missing and have an address that one slip of the hand explains.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from budget.images.digits import mistake
from budget.images.image import Notation, Row
from budget.images.slips import Due


class Pairing(NamedTuple):
    """The place of the row that is due for each row of a file, None for one that is too many.

    mixed: pairs of places of rows that are due whose words have changed places.
    """

    due: tuple[int | None, ...]
    mixed: tuple[tuple[int, int], ...]


def paired(dues: Sequence[Due], rows: Sequence[Row], notation: Notation) -> Pairing:
    """Pair the rows of a file with those that are due."""
    table = _Table(dues, rows, notation)
    table.take_right_rows()
    table.take_mixed_rows()
    table.take_by_address()
    table.take_by_words()
    table.take_by_place()
    return Pairing(tuple(table.due), tuple(table.mixed))


def rising(numbers: Sequence[int]) -> list[int]:
    """The places of a longest part of some numbers that rises from each to the next.

    >>> rising([0, 4, 1, 1, 2])
    [0, 2, 4]
    """
    ends: list[int] = []  # the least number at which a part of each length ends
    at: list[int] = []  # and its place
    before: list[int | None] = []
    for place, number in enumerate(numbers):
        length = bisect_left(ends, number)
        if ends[length : length + 1] != [number]:  # of several alike the first is taken
            ends[length : length + 1] = [number]
            at[length : length + 1] = [place]
        before.append(at[length - 1] if length else None)
    found: list[int] = []
    last = at[-1] if at else None
    while last is not None:
        found.append(last)
        last = before[last]
    return found[::-1]


def _nearest(places: Sequence[int], wanted: int) -> int:
    return min(places, key=lambda place: abs(place - wanted))


class _Table:
    """The pairs found so far."""

    def __init__(self, dues: Sequence[Due], rows: Sequence[Row], notation: Notation) -> None:
        self.due: list[int | None] = [None] * len(rows)
        self.mixed: list[tuple[int, int]] = []
        self._dues = dues
        self._rows = rows
        self._notation = notation
        self._open = set(range(len(dues)))  # rows that are due and not found yet
        self._left = list(range(len(rows)))  # rows of the file that are not settled, in their order

    def _pair(self, row: int, due: int) -> None:
        self.due[row] = due
        self._open.remove(due)

    def _settle(self) -> None:
        """Forget the rows that are settled."""
        self._left = [row for row in self._left if self.due[row] is None]

    def take_right_rows(self) -> None:
        """Pair rows that are right; more than one of the same are too many."""
        known: dict[tuple[int, tuple[int | None, ...]], int] = {
            (due.address, due.words): place for place, due in enumerate(self._dues)
        }
        right = [(row, known.get((self._rows[row].address, self._words(row)), -1)) for row in self._left]
        right = [(row, due) for row, due in right if due >= 0]
        in_order = {right[place][0] for place in rising([due for _, due in right])}
        for row, due in [*(pair for pair in right if pair[0] in in_order), *right]:
            if due in self._open:
                self._pair(row, due)
        doubled = {row for row, _ in right if self.due[row] is None}
        self._left = [row for row in self._left if self.due[row] is None and row not in doubled]

    def _words(self, row: int) -> tuple[int | None, ...]:
        return self._rows[row].words

    def take_mixed_rows(self) -> None:
        """Pair rows that have each other's words."""
        at = {self._dues[due].address: due for due in self._open}
        by_words: dict[tuple[int | None, ...], list[int]] = defaultdict(list)
        for row in self._left:
            by_words[self._words(row)].append(row)
        for row in self._left:
            due = at.get(self._rows[row].address)
            if due is None or due not in self._open:
                continue
            for other in by_words[self._dues[due].words]:
                theirs = at.get(self._rows[other].address)
                if theirs in self._open and theirs != due and self._words(row) == self._dues[theirs].words:
                    self._pair(row, due)
                    self._pair(other, theirs)
                    self.mixed.append((min(due, theirs), max(due, theirs)))
                    break
        self._settle()

    def take_by_address(self) -> None:
        """Pair rows with the right address; of several with the same, the one with most of the right words."""
        at = {self._dues[due].address: due for due in self._open}
        claims: dict[int, list[int]] = defaultdict(list)
        for row in self._left:
            due = at.get(self._rows[row].address)
            if due is not None:
                claims[due].append(row)
        for due, several in claims.items():
            self._pair(max(several, key=lambda row: self._alike(row, due)), due)
        self._settle()

    def _alike(self, row: int, due: int) -> int:
        """How many words of a row are right."""
        return sum(one == two for one, two in zip(self._words(row), self._dues[due].words, strict=False))

    def take_by_words(self) -> None:
        """Pair rows that have the right words at a wrong address, if one slip explains it or they stand in their place.

        Of several that would do, the one nearest to that place is taken.
        """
        by_words: dict[tuple[int | None, ...], list[int]] = defaultdict(list)
        for due in sorted(self._open):
            by_words[self._dues[due].words].append(due)
        for row, wanted in self._expected():
            address = self._rows[row].address
            fitting = [
                due
                for due in by_words[self._words(row)]
                if due in self._open and (due == wanted or self._is_near(address, self._dues[due].address))
            ]
            if fitting:
                self._pair(row, _nearest(fitting, wanted))
        self._settle()

    def take_by_place(self) -> None:
        """Pair rows that stand where one is missing, with an address that one slip explains."""
        for row, due in self._expected():
            if due in self._open and self._is_near(self._rows[row].address, self._dues[due].address):
                self._pair(row, due)
        self._settle()

    def _expected(self) -> Iterator[tuple[int, int]]:
        """Each row that is left, with the one that is due after the nearest row before it that is paired."""
        left = set(self._left)
        wanted = 0
        for row in range(len(self._rows)):
            if row in left:
                yield row, wanted
            due = self.due[row]
            wanted = wanted if due is None else due + 1

    def _is_near(self, address: int, should: int) -> bool:
        notation = self._notation
        return address != should and mistake(notation.typed(should), notation.typed(address)).is_near
