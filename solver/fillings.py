"""Half a board of marks: all its fillings, sorted by how many marks of each side they hold.

The fast engine for games in which marks are only added (solver/halves.py) cuts the board in two.  A half is made of
*stacks*: single cells, or whole columns where marks fall.  A stack has numbered states, 0 when it is empty, and a
mark leads from one state to another.  A filling is a number whose digits are the states of its stacks.

The fillings with x marks of the first player's and o of the second's form the class (x, o), and stand in it in
increasing order.
"""

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import FIRST, SECOND, Codes, Indices
from games.marks.marks import hold_a_line
from solver.filling_steps import IMPOSSIBLE, Sorting, find_steps, sums

Class = tuple[int, int]
"""How many marks of the first and of the second player a filling holds."""
Flags = npt.NDArray[np.unsignedinteger[Any]]
"""A bit for each line across the cut and two more: as narrow as will do, for they are compared pair by pair."""
MOST_ACROSS = 62


class Stack:
    """The states of a column of so many cells that fill from the bottom; a single cell is a column of one.

    cells: (states, height) 0 free, 1 and 2 the players' marks, from the bottom up; after, before: (2, states) the
    state to which a mark of a player's leads, or from which one led here; IMPOSSIBLE where there is none.
    """

    def __init__(self, height: int) -> None:
        contents: list[tuple[int, ...]] = [()]
        for state in contents:
            if len(state) < height:
                contents.extend([(*state, 1), (*state, 2)])
        number = {state: place for place, state in enumerate(contents)}
        self.states = len(contents)
        self.cells = np.array([(*state, *[0] * (height - len(state))) for state in contents], dtype=np.int8)
        steps = [[number.get((*state, mark), IMPOSSIBLE) for state in contents] for mark in (1, 2)]
        back = [[number[s[:-1]] if s and s[-1] == mark else IMPOSSIBLE for s in contents] for mark in (1, 2)]
        self.after = np.array(steps, dtype=np.intp)
        self.before = np.array(back, dtype=np.intp)
        # A column is recognized by its number in base 3, which is that of its cells.
        self.state_of = np.zeros(3**height, dtype=np.intp)
        self.state_of[self.cells @ 3 ** np.arange(height)] = np.arange(self.states)


class HalfShape(NamedTuple):
    """Where a half lies: its cells by their number on the board, stack after stack, each from the bottom up.

    height: the cells of a stack.  inside: the lines within the half, across: the parts in it of the lines that
    reach into the other half, both as sets of the board's cells.
    """

    cells: tuple[int, ...]
    height: int
    inside: tuple[int, ...]
    across: tuple[int, ...]


class Half:
    """The fillings of a half, their classes, and how a mark leads from one class to another.

    classes: for each class its fillings, increasing.
    """

    def __init__(self, shape: HalfShape, side: int) -> None:
        self.shape = shape
        self._stack = Stack(shape.height)
        self._stacks = len(shape.cells) // shape.height
        self._sort_into_classes()
        self._held = [sums(self._sets_of_cells(mark), np.uint64) for mark in (1, 2)]
        self._flags = [self._line_flags(held, side) for held in self._held]
        self._kinds: dict[tuple[Class, int], tuple[Flags, Indices]] = {}
        self._steps: dict[tuple[int, bool], dict[Class, Indices]] = {}

    def _sort_into_classes(self) -> None:
        base = len(self.shape.cells) + 1
        worth = (self._stack.cells == 1).sum(axis=1) * base + (self._stack.cells == 2).sum(axis=1)
        kind = sums(
            [worth.astype(np.int16)] * self._stacks, np.int16
        )  # of small numbers the sort is quickest
        order = np.argsort(kind, kind="stable")
        counts = np.bincount(kind)
        sizes = counts[counts > 0]
        ends = np.cumsum(sizes)
        rank = np.empty_like(order)
        rank[order] = np.arange(len(order)) - np.repeat(ends - sizes, sizes)
        self._sorting = Sorting((np.cumsum(counts > 0) - 1)[kind], rank, sizes)
        parts = zip(np.flatnonzero(counts).tolist(), np.split(order, ends[:-1]), strict=True)
        self.classes: dict[Class, Indices] = {divmod(kind, base): part for kind, part in parts}

    def _sets_of_cells(self, mark: int) -> list[Codes]:
        """For each stack, the set of the board's cells that hold the mark in each of its states."""
        bits = np.array([1 << cell for cell in self.shape.cells], dtype=np.uint64)
        in_stacks = bits.reshape(self._stacks, 1, self.shape.height)
        return list(np.where(self._stack.cells == mark, in_stacks, np.uint64(0)).sum(axis=2, dtype=np.uint64))

    def count(self, kind: Class) -> int:
        """How many fillings a class has; 0 if there is no such class."""
        return len(self.classes.get(kind, ()))

    # Positions -----------------------------------------------------------------------------------------------

    def ranks_on(self, first: Codes, second: Codes) -> Indices:
        """Where the fillings of this half stand in their classes, on boards given as two sets of cells."""
        one, height = np.uint64(1), self.shape.height
        numbers = np.zeros(len(first), dtype=np.intp)
        for place in reversed(range(self._stacks)):
            column = np.zeros(len(first), dtype=np.intp)
            for level, cell in enumerate(self.shape.cells[place * height : (place + 1) * height]):
                bit = np.uint64(cell)
                mark = (first >> bit & one) + (second >> bit & one) * np.uint64(2)
                column += mark.astype(np.intp) * 3**level
            numbers = numbers * self._stack.states + self._stack.state_of[column]
        return self._sorting.rank[numbers]

    def holdings(self, kind: Class) -> tuple[Codes, Codes]:
        """The two sets of cells of each filling of a class, (n,)."""
        first, second = (held[self.classes[kind]] for held in self._held)
        return first, second

    # Moves ---------------------------------------------------------------------------------------------------

    def steps(self, kind: Class, player: int, *, back: bool) -> Indices:
        """For each filling of a class the fillings that one mark of a player leads to, or (`back`) that it came from.

        (slots, n): ranks in the class with one such mark more or fewer.  A filling that has fewer such moves than
        others repeats one; going back, where it may have none at all, it names the place behind the last instead.
        """
        key = (player, back)
        if key not in self._steps:
            self._steps[key] = self._find_steps(*key)
        return self._steps[key][kind]

    def _find_steps(self, player: int, back: bool) -> dict[Class, Indices]:
        changed = (self._stack.before if back else self._stack.after)[player]
        behind = None
        if back:
            origins = ((kind[0] - (player == FIRST), kind[1] - (player == SECOND)) for kind in self.classes)
            behind = np.array([self.count(kind) for kind in origins])
        steps = find_steps(self._sorting, self._stacks, changed, behind)
        return dict(zip(self.classes, steps, strict=True))

    # Lines ---------------------------------------------------------------------------------------------------

    def _line_flags(self, held: Codes, side: int) -> Flags:
        """For each filling a set of bits that tells, together with the other half's, whether a player owns a line.

        Bit i: the filling owns its part of line i across the cut.  Bit `side` behind those: it owns a line of its
        own; the bit of the other half's own lines is always set.  So two fillings make a line if they share a bit.
        """
        across = len(self.shape.across)
        wide: type[np.unsignedinteger[Any]] = np.uint32 if across + 2 <= 32 else np.uint64
        flags: Flags = np.full(len(held), 1 << across + 1 - side, dtype=wide)
        for bit, part in enumerate(self.shape.across):
            flags |= (held & np.uint64(part) == np.uint64(part)).astype(wide) << wide(bit)
        flags |= hold_a_line(held, self.shape.inside).astype(wide) << wide(across + side)
        return flags

    def flags(self, kind: Class, player: int) -> Flags:
        """The line flags of a class's fillings for one player."""
        return self._flags[player][self.classes[kind]]

    def kinds(self, kind: Class, player: int) -> tuple[Flags, Indices]:
        """The different line flags in a class, and which of them each filling has."""
        key = (kind, player)
        if key not in self._kinds:
            self._kinds[key] = np.unique(self.flags(kind, player), return_inverse=True)
        return self._kinds[key]
