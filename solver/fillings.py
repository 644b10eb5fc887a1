"""Half a board of marks: all its fillings, sorted by how many marks of each side they hold.

The fast engine for games in which marks are only added (solver/halves.py) cuts the board in two.  A half is made of
*stacks*: single cells, or whole columns where marks fall.  A stack has numbered states, 0 when it is empty, and a
mark leads from one state to another.  A filling is a number whose digits are the states of its stacks.

The fillings with x marks of the first player's and o of the second's form the class (x, o), and stand in it in
increasing order.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import Codes, Indices

Class = tuple[int, int]
"""How many marks of the first and of the second player a filling holds."""
Flags = npt.NDArray[np.uint32]
IMPOSSIBLE = -1
FAR = np.iinfo(np.intp).max
"""Greater than every rank."""


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
    reach into the other half, both as places in `cells`.
    """

    cells: tuple[int, ...]
    height: int
    inside: tuple[tuple[int, ...], ...]
    across: tuple[tuple[int, ...], ...]


class Half:
    """The fillings of a half, their classes, and how a mark leads from one class to another.

    classes: for each class its fillings, increasing.
    """

    def __init__(self, shape: HalfShape, side: int) -> None:
        self.shape = shape
        self._stack = Stack(shape.height)
        count = len(shape.cells) // shape.height
        self._weights = self._stack.states ** np.arange(count)
        """What each stack's state counts for in the number of a filling."""
        numbers = np.arange(self._stack.states**count)
        self._states = numbers[:, None] // self._weights % self._stack.states
        self._marks = self._stack.cells[self._states].reshape(len(numbers), -1)
        self._sort_into_classes()
        self._flags = [self._line_flags(mark, side) for mark in (1, 2)]
        self._kinds: dict[tuple[Class, int], tuple[Flags, Indices]] = {}
        self._ranks: dict[tuple[int, bool], tuple[Indices, Indices]] = {}
        self._steps: dict[tuple[Class, int, bool], Indices] = {}

    def _sort_into_classes(self) -> None:
        size = self._marks.shape[1] + 1
        kind = (self._marks == 1).sum(axis=1) * size + (self._marks == 2).sum(axis=1)
        order = np.argsort(kind, kind="stable")
        counts = np.bincount(kind, minlength=size * size)
        starts = np.cumsum(counts) - counts
        self._rank = np.empty(len(kind), dtype=np.intp)
        self._rank[order] = np.arange(len(kind)) - np.repeat(starts, counts)
        self.classes: dict[Class, Indices] = {
            divmod(int(k), size): order[starts[k] : starts[k] + counts[k]] for k in np.flatnonzero(counts)
        }

    def count(self, kind: Class) -> int:
        """How many fillings a class has; 0 if there is no such class."""
        return len(self.classes.get(kind, ()))

    # Positions -----------------------------------------------------------------------------------------------

    def ranks_on(self, first: Codes, second: Codes) -> Indices:
        """Where the fillings of this half stand in their classes, on boards given as two sets of cells."""
        one, height = np.uint64(1), self.shape.height
        numbers = np.zeros(len(first), dtype=np.intp)
        for place, weight in enumerate(self._weights):
            column = np.zeros(len(first), dtype=np.intp)
            for level, cell in enumerate(self.shape.cells[place * height : (place + 1) * height]):
                bit = np.uint64(cell)
                mark = (first >> bit & one) + (second >> bit & one) * np.uint64(2)
                column += mark.astype(np.intp) * 3**level
            numbers += self._stack.state_of[column] * weight
        return self._rank[numbers]

    def holdings(self, kind: Class) -> tuple[Codes, Codes]:
        """The two sets of cells of each filling of a class, (n,)."""
        marks = self._marks[self.classes[kind]]
        bits = np.array([1 << cell for cell in self.shape.cells], dtype=np.uint64)
        held = (np.where(marks == mark, bits, np.uint64(0)) for mark in (1, 2))
        first, second = (each.sum(axis=1, dtype=np.uint64) for each in held)
        return first, second

    # Moves ---------------------------------------------------------------------------------------------------

    def steps(self, kind: Class, player: int, *, back: bool) -> Indices:
        """For each filling of a class the fillings that one mark of a player leads to, or (`back`) that it came from.

        (slots, n): ranks in the class with one such mark more or fewer.  A filling that has fewer such moves than
        others repeats one; going back, where it may have none at all, it names the place behind the last instead.
        """
        key = (kind, player, back)
        if key not in self._steps:
            self._steps[key] = self._find_steps(*key)
        return self._steps[key]

    def _find_steps(self, kind: Class, player: int, back: bool) -> Indices:
        ranks, moves = (each[self.classes[kind]] for each in self._neighbours(player, back))
        most = int(moves.max())
        steps = ranks[:, :most]
        if int(moves.min()) < most:
            change = -1 if back else 1
            nowhere = self.count((kind[0] + change * (player == 0), kind[1] + change * (player == 1)))
            steps = np.where(steps == FAR, np.minimum(steps[:, :1], nowhere), steps)
        return np.ascontiguousarray(steps.T)

    def _neighbours(self, player: int, back: bool) -> tuple[Indices, Indices]:
        """For each filling the ranks of what a player's mark leads to or led here from, and how many there are.

        (fillings, stacks) and (fillings,): the ranks increase, and FAR stands behind the last.
        """
        key = (player, back)
        if key not in self._ranks:
            changed = (self._stack.before if back else self._stack.after)[player]
            step = np.where(changed == IMPOSSIBLE, 0, changed - np.arange(self._stack.states))
            possible = (changed != IMPOSSIBLE)[self._states]
            numbers = np.arange(len(self._states))[:, None] + step[self._states] * self._weights
            ranks = np.where(possible, self._rank[numbers], FAR)
            ranks.sort(axis=1)
            self._ranks[key] = ranks, possible.sum(axis=1)
        return self._ranks[key]

    # Lines ---------------------------------------------------------------------------------------------------

    def _line_flags(self, mark: int, side: int) -> Flags:
        """For each filling a set of bits that tells, together with the other half's, whether a player owns a line.

        Bit i: the filling owns its part of line i across the cut.  Bit `side` behind those: it owns a line of its
        own; the bit of the other half's own lines is always set.  So two fillings make a line if they share a bit.
        """
        own = self._marks == mark
        across = len(self.shape.across)
        flags = np.full(len(own), 1 << across + 1 - side, dtype=np.uint32)
        for bit, part in enumerate(self.shape.across):
            flags |= own[:, part].all(axis=1).astype(np.uint32) << np.uint32(bit)
        has_own = np.zeros(len(own), dtype=bool)
        for line in self.shape.inside:
            has_own |= own[:, line].all(axis=1)
        return flags | has_own.astype(np.uint32) << np.uint32(across + side)

    def flags(self, kind: Class, player: int) -> Flags:
        """The line flags of a class's fillings for one player."""
        return self._flags[player][self.classes[kind]]

    def kinds(self, kind: Class, player: int) -> tuple[Flags, Indices]:
        """The different line flags in a class, and which of them each filling has."""
        key = (kind, player)
        if key not in self._kinds:
            self._kinds[key] = np.unique(self.flags(kind, player), return_inverse=True)
        return self._kinds[key]
