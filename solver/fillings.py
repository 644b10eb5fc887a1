"""Half a board of marks: all its fillings, sorted by how many marks of each side they hold.

The fast engine for games in which marks are only added (solver/halves.py) cuts the board in two.  A filling of one
half is a number in base 3 (digit j: what stands on the half's cell j); the fillings with x marks of the first
player's and o of the second's form the class (x, o), and stand in it in increasing order.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import Codes, Indices

Class = tuple[int, int]
"""How many marks of the first and of the second player a filling holds."""
Numbers = npt.NDArray[np.int64]
"""Fillings as numbers in base 3."""


class HalfShape(NamedTuple):
    """Where a half lies: its cells by their number on the board, in columns from the bottom up where marks fall.

    inside: the lines within the half, across: the parts in it of the lines that reach into the other half, both as
    places in `cells`.
    """

    cells: tuple[int, ...]
    columns: tuple[tuple[int, ...], ...]
    inside: tuple[tuple[int, ...], ...]
    across: tuple[tuple[int, ...], ...]
    falls: bool


class Half:
    """The fillings of a half, their classes, and how a mark leads from one class to another."""

    def __init__(self, shape: HalfShape, side: int) -> None:
        self.shape = shape
        self.size = len(shape.cells)
        self._powers: Numbers = 3 ** np.arange(self.size, dtype=np.int64)
        self._numbers = self._falling() if shape.falls else np.arange(3**self.size, dtype=np.int64)
        self._digits = (self._numbers[:, None] // self._powers % 3).astype(np.int8)
        self._sort_into_classes()
        self._flags = [self._line_flags(player + 1, side) for player in (0, 1)]
        self._kinds: dict[tuple[Class, int], tuple[Indices, Indices]] = {}
        self._steps: dict[tuple[Class, int, bool], Indices] = {}

    def _falling(self) -> Numbers:
        """The fillings in which nothing hangs in the air, increasing."""
        numbers: Numbers = np.zeros(1, dtype=np.int64)
        for column in self.shape.columns:
            filled = level = np.zeros(1, dtype=np.int64)
            for place in column:
                level = np.concatenate([level + self._powers[place], level + 2 * self._powers[place]])
                filled = np.concatenate([filled, level])
            numbers = (numbers[:, None] + filled).reshape(-1)
        return np.sort(numbers)

    def _sort_into_classes(self) -> None:
        firsts = (self._digits == 1).sum(axis=1)
        seconds = (self._digits == 2).sum(axis=1)
        width = self.size + 1
        kind = firsts * width + seconds
        order = np.argsort(kind, kind="stable")
        counts = np.bincount(kind, minlength=width * width)
        starts = np.cumsum(counts) - counts
        self._rank = np.empty(len(kind), dtype=np.intp)
        self._rank[order] = np.arange(len(kind)) - np.repeat(starts, counts)
        self.classes: dict[Class, Indices] = {
            (int(k) // width, int(k) % width): order[starts[k] : starts[k] + counts[k]]
            for k in np.flatnonzero(counts)
        }
        """For each class its fillings, as places among all."""

    def count(self, kind: Class) -> int:
        """How many fillings a class has; 0 if there is no such class."""
        return len(self.classes.get(kind, ()))

    def rank_of(self, numbers: Numbers) -> Indices:
        """Where fillings stand in their classes."""
        return self._rank[np.searchsorted(self._numbers, numbers) if self.shape.falls else numbers]

    def numbers_of(self, first: Codes, second: Codes) -> Numbers:
        """The fillings of this half on boards given as two sets of cells."""
        one = np.uint64(1)
        numbers = np.zeros(len(first), dtype=np.int64)
        for place, cell in enumerate(self.shape.cells):
            bit = np.uint64(cell)
            digit = (first >> bit & one) + (second >> bit & one) * np.uint64(2)
            numbers += digit.astype(np.int64) * self._powers[place]
        return numbers

    def holdings(self, kind: Class) -> tuple[Codes, Codes]:
        """The two sets of cells of each filling of a class, (n,)."""
        digits = self._digits[self.classes[kind]]
        bits = np.array([1 << cell for cell in self.shape.cells], dtype=np.uint64)
        held = (np.where(digits == player, bits, np.uint64(0)) for player in (1, 2))
        first, second = (each.sum(axis=1, dtype=np.uint64) for each in held)
        return first, second

    def steps(self, kind: Class, player: int, *, back: bool) -> Indices:
        """For each filling of a class the fillings that one mark of a player leads to, or (`back`) that it came from.

        (slots, n): ranks in the class with one such mark more or fewer.  A filling that has fewer such moves than
        others repeats one; going back, where it may have none at all, it names the place behind the last instead.
        """
        key = (kind, player, back)
        if key not in self._steps:
            self._steps[key] = self._falling_steps(*key) if self.shape.falls else self._free_steps(*key)
        return self._steps[key]

    def _free_steps(self, kind: Class, player: int, back: bool) -> Indices:
        rows = self.classes[kind]
        sought = player + 1 if back else 0
        slots = kind[player] if back else self.size - sum(kind)
        cells = np.nonzero(self._digits[rows] == sought)[1].reshape(len(rows), slots)
        change = (player + 1) * self._powers[cells] * (-1 if back else 1)
        return np.ascontiguousarray(self.rank_of(self._numbers[rows][:, None] + change).T)

    def _falling_steps(self, kind: Class, player: int, back: bool) -> Indices:
        """One slot for each column; a column in which nothing can be done takes over what another column gives."""
        rows = self.classes[kind]
        neighbour = tuple(n + (-1 if back else 1) * (p == player) for p, n in enumerate(kind))
        nowhere = self.count(neighbour)  # type: ignore[arg-type]
        slots = np.full((len(self.shape.columns), len(rows)), nowhere, dtype=np.intp)
        for slot, column in zip(slots, self.shape.columns, strict=True):
            places, cells = self._at_the_top(rows, column, player, back)
            change = (player + 1) * self._powers[cells] * (-1 if back else 1)
            slot[places] = self.rank_of(self._numbers[rows[places]] + change)
        some = slots.min(axis=0)  # `nowhere` is greater than every rank
        return np.where(slots == nowhere, some, slots)

    def _at_the_top(
        self, rows: Indices, column: Sequence[int], player: int, back: bool
    ) -> tuple[Indices, Indices]:
        """In which of these fillings a column takes a mark (or gives one of the player's back), and on which cell."""
        cells = np.array(column)
        height = (self._digits[rows][:, cells] != 0).sum(axis=1)
        if not back:
            places = np.flatnonzero(height < len(column))
            return places, cells[height[places]]
        places = np.flatnonzero(height > 0)
        top = cells[height[places] - 1]
        own = self._digits[rows[places], top] == player + 1
        return places[own], top[own]

    def _line_flags(self, digit: int, side: int) -> Indices:
        """For each filling a set of bits that tells, together with the other half's, whether the player owns a line.

        Bit i: the filling owns its part of line i across the cut.  Bit `side` behind those: it owns a line of its
        own; the bit of the other half's own lines is always set.  So two fillings make a line if they share a bit.
        """
        own = self._digits == digit
        across = len(self.shape.across)
        flags = np.full(len(own), 1 << across + 1 - side, dtype=np.uint32)
        for bit, part in enumerate(self.shape.across):
            flags |= own[:, part].all(axis=1).astype(np.uint32) << np.uint32(bit)
        has_own = np.zeros(len(own), dtype=bool)
        for line in self.shape.inside:
            has_own |= own[:, line].all(axis=1)
        return (flags | has_own.astype(np.uint32) << np.uint32(across + side)).astype(np.intp)

    def kinds(self, kind: Class, player: int) -> tuple[Indices, Indices]:
        """The different line flags in a class, and which of them each filling has."""
        key = (kind, player)
        if key not in self._kinds:
            flags, which = np.unique(self.flags(kind, player), return_inverse=True)
            self._kinds[key] = flags, which
        return self._kinds[key]

    def flags(self, kind: Class, player: int) -> Indices:
        """The line flags of a class's fillings for one player."""
        return self._flags[player][self.classes[kind]]
