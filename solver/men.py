"""Sets of men on points, by rank, and how single slides lead from one to another: the rows and columns of matrices."""

from collections.abc import Iterator
from itertools import combinations

import numpy as np
import numpy.typing as npt

from games.codes import Flags, Indices
from games.steps.steps import Steps

Sets = npt.NDArray[np.uint32]
"""Sets of points: bit p is set where a man stands on point p."""


class MenSets:
    """All sets of some number of men on n points, in increasing order."""

    def __init__(self, points: int, men: int, lines: list[int]) -> None:
        self.points = points
        self.men = men
        masks = sorted(sum(1 << point for point in chosen) for chosen in combinations(range(points), men))
        self.sets: Sets = np.array(masks, dtype=np.uint32)
        self.has_line: Flags = np.zeros(len(masks), dtype=bool)
        for line in lines:
            self.has_line |= self.sets & np.uint32(line) == np.uint32(line)

    def __len__(self) -> int:
        return len(self.sets)

    def rank(self, sets: npt.NDArray[np.unsignedinteger]) -> Indices:
        """Where sets of this size stand."""
        return np.searchsorted(self.sets, sets.astype(np.uint32))

    def without(self, point: int) -> Indices:
        """The sets that do not hold a point."""
        return np.flatnonzero(self.sets >> np.uint32(point) & np.uint32(1) == 0)


class DirectedStep:
    """One man going from a point to a joined one: the sets it can be made in, and what they become (ranks)."""

    __slots__ = ("after", "before", "came_from", "origin", "target")

    def __init__(self, men: MenSets, origin: int, target: int) -> None:
        self.origin, self.target = origin, target
        held = men.sets >> np.uint32(origin) & ~(men.sets >> np.uint32(target)) & np.uint32(1)
        self.before = np.flatnonzero(held)
        change = np.uint32(1 << origin | 1 << target)
        self.after = men.rank(men.sets[self.before] ^ change)
        self.came_from = np.full(len(men), -1, dtype=np.intp)
        """For each set the one it was before this step; -1 where this step cannot have been the last."""
        self.came_from[self.after] = self.before


def directed(game: Steps, men: MenSets) -> Iterator[DirectedStep]:
    """Every step of the board, in both directions."""
    for one, other in game.setting.steps:
        yield DirectedStep(men, one, other)
        yield DirectedStep(men, other, one)


def chunks(rows: int, size: int = 128) -> Iterator[slice]:
    """So many rows in parts that stay near the processor."""
    return (slice(begin, begin + size) for begin in range(0, rows, size))


def disjoint(mine: MenSets, other: MenSets) -> Flags:
    """(n, m): which sets share no point."""
    narrow: type[np.uint16 | np.uint32] = (
        np.uint16 if mine.points <= 16 else np.uint32
    )  # half the bytes, half the time
    these: npt.NDArray[np.unsignedinteger] = mine.sets.astype(narrow)
    those: npt.NDArray[np.unsignedinteger] = other.sets.astype(narrow)
    apart = np.empty((len(mine), len(other)), dtype=bool)
    for rows in chunks(len(mine)):
        apart[rows] = (these[rows, None] & those[None, :]) == 0
    return apart


def bit_count(sets: Sets) -> Indices:
    """How many points each set holds."""
    count = np.zeros(len(sets), dtype=np.intp)
    for point in range(32):
        count += (sets >> np.uint32(point) & np.uint32(1)).astype(np.intp)
    return count
