"""How single marks lead from filling to filling of half a board (see solver/fillings.py).

There are a hundred classes of fillings, and most of them are small.  So the steps of all fillings are found together,
stack by stack of the half, and not class by class.
"""

from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import Indices

IMPOSSIBLE = -1
"""Instead of a state of a stack: no mark leads there."""


class Sorting(NamedTuple):
    """The fillings of a half, sorted into classes.

    class_of, rank: for each filling the number of its class, and where it stands in it, (n,); sizes: (classes,).
    """

    class_of: Indices
    rank: Indices
    sizes: Indices


def find_steps(sorting: Sorting, stacks: int, changed: Indices, behind: Indices | None) -> list[Indices]:
    """For each class the steps of its fillings, (slots, size): the ranks of what the moves of each lead to.

    changed: the state into which a move turns each state of a stack, or IMPOSSIBLE.  A filling with fewer moves than
    another of its class repeats its first one; or it names what `behind` holds for its class, (classes,).
    """
    moves = sums([changed != IMPOSSIBLE] * stacks, np.intp)
    table = _Table(sorting, moves)
    table.enter(stacks, changed)
    if (table.slots[sorting.class_of] != moves).any():
        table.fill_up(moves, behind)
    return table.by_class()


class _Table:
    """The steps of all fillings in one array: class after class, slot after slot, filling after filling.

    slots: for each class the most moves that a filling of it has.
    """

    def __init__(self, sorting: Sorting, moves: Indices) -> None:
        self.slots = np.zeros_like(sorting.sizes)
        np.maximum.at(self.slots, sorting.class_of, moves)
        self._ends = np.cumsum(self.slots * sorting.sizes)
        self._steps = np.empty(self._ends[-1], dtype=np.intp)
        self._sorting = sorting
        self._first = (self._ends - self.slots * sorting.sizes)[sorting.class_of] + sorting.rank
        """Where the first step of each filling stands, and how far behind it each further one."""
        self._apart = sorting.sizes[sorting.class_of]

    def enter(self, stacks: int, changed: Indices) -> None:
        """Enter every step, given the state into which a move turns each state of a stack."""
        can = changed != IMPOSSIBLE
        slot = np.zeros(
            1, dtype=np.intp
        )  # how many moves the stacks before this one have, for each way to fill them
        for _ in range(stacks):
            shape = (-1, len(can), len(slot))  # the stacks behind this one, this one, those before it
            places = self._first.reshape(shape)[:, can] + self._apart.reshape(shape)[:, can] * slot
            self._steps[places] = self._sorting.rank.reshape(shape)[:, changed[can]]
            slot = (can[:, None] + slot).reshape(-1)

    def fill_up(self, moves: Indices, behind: Indices | None) -> None:
        """Enter something for the fillings with fewer moves than others of their class."""
        slots = self.slots[self._sorting.class_of]
        for slot in range(slots.max()):
            short = np.flatnonzero((moves <= slot) & (slot < slots))
            first = self._first[short]
            instead = self._steps[first] if behind is None else behind[self._sorting.class_of[short]]
            self._steps[first + slot * self._apart[short]] = instead

    def by_class(self) -> list[Indices]:
        """The steps of each class, (slots, size)."""
        parts = np.split(self._steps, self._ends[:-1])
        return [part.reshape(-1, size) for part, size in zip(parts, self._sorting.sizes, strict=True)]


def sums(worth: list[npt.NDArray[Any]], kind: type[np.generic]) -> npt.NDArray[Any]:
    """For each filling the sum of what the states of its stacks are worth, given for each stack as (states,)."""
    total = np.zeros(1, dtype=kind)
    for of_states in worth:  # a later stack counts for more in the number of a filling
        total = (of_states[:, None] + total).reshape(-1)
    return total
