"""Solve a game in which positions can come back: find them all, then work back along the moves between them."""

from collections.abc import Iterator

import numpy as np

from games.codes import UNFINISHED, Bytes, Codes, distinct
from games.game import Game
from solver.forward import PART, Gathered
from solver.graph import TooLarge
from solver.joined import MOST, Distances, Joined, bytes_at_least, bytes_needed
from solver.places import places
from solver.run import Run, bytes_held
from solver.values import Values

# Memory, as measured (tests/solver/test_memory.py).
BYTES_FOUND = 28
"""For each position while they are found: twice its code, and all of them once more when they are put in order."""
BYTES_GATHERED = 24
"""For each position of the next ply while it is gathered."""
BYTES_A_MOVE = 64
"""For each move of the positions whose children are found at a time."""


class Loops:
    """A solved game whose positions are held in one array: see `solver.solved.Solved`.

    codes: (n,) sorted; ply: (n,) on which each is first reached; value, distance: (n,) as in `solver.values.Values`.
    """

    def __init__(
        self, game: Game, start: int, codes: Codes, ply: Distances, value: Bytes, distance: Distances
    ) -> None:
        self.game = game
        self.start = start
        self.codes = codes
        self.ply = ply
        self.value = value
        self.distance = distance
        self.positions = len(codes)

    @property
    def held(self) -> int:
        """How many bytes the result takes."""
        return bytes_held((self.codes, self.ply, self.value, self.distance))

    @property
    def largest_ply(self) -> int:
        """How many positions are first reached on one ply, at most."""
        return int(np.bincount(self.ply).max())

    def look_up(self, codes: Codes) -> Values:
        """The values of positions that can arise; KeyError if one of them cannot."""
        at, found = places(self.codes, codes)
        if not found.all():
            raise KeyError(f"position {int(codes[~found][0]):#x} cannot arise")
        return Values(self.value[at], self.distance[at].astype(np.intp))

    def plies(self) -> Iterator[Codes]:
        """For each ply the positions that are first reached on it."""
        order = np.argsort(self.ply, kind="stable")
        bounds = np.searchsorted(self.ply[order], np.arange(1, int(self.ply.max()) + 1))
        for at in np.split(order, bounds):
            yield self.codes[at]


def solve_loops(game: Game, start: int | None = None, run: Run | None = None) -> Loops:
    """Solve any game, also one in which positions come back.

    Raises TooMuchMemory where the run may not use what it takes.
    """
    run = run or Run()
    first = game.start if start is None else start
    found = _Found(game, first, run)
    codes, ply, moves = found.codes(), found.plies(), found.moves
    del found
    joined = Joined(game, codes, moves, run)
    value, distance = joined.work_back(run)
    return Loops(game, first, codes, ply, value, distance)


class _Found:
    """The positions, by the ply on which they are first reached, each ply sorted.

    moves: how many moves they have in all; widest: the most that were made at a time.
    """

    def __init__(self, game: Game, start: int, run: Run) -> None:
        self.moves = 0
        self.widest = 0
        self.levels: list[Codes] = []
        self._finding = 0
        self._known = _Known()
        level = np.array([start], dtype=np.uint64)
        while len(level):
            self.levels.append(level)
            self._known.add(level)
            run.count(len(self.levels) - 1, self._known.size, self._at_least())
            level = self._next_level(game, run)
        run.plan(self.bytes_needed())
        if self._known.size >= MOST:
            raise TooLarge(self._known.size, MOST)

    def bytes_needed(self) -> int:
        """What the work takes at its greatest now that all positions are known."""
        return max(self._finding, bytes_needed(self._known.size, self.moves))

    def _at_least(self, gathered: int = 0) -> int:
        """What it takes with these positions and so many of a next ply, however many there are to come."""
        positions = self._known.size + gathered
        finding = BYTES_FOUND * positions + BYTES_GATHERED * gathered + BYTES_A_MOVE * self.widest
        self._finding = max(self._finding, finding)
        return max(self._finding, bytes_at_least(positions, self.moves))

    def _next_level(self, game: Game, run: Run) -> Codes:
        """The positions that are first reached one ply later."""
        number, journal = len(self.levels), run.journal
        kept = journal.read("level", number)
        if kept is None:
            level = self._gathered(game, run)
        else:
            level, (self.moves, self.widest) = kept[0], kept[1].tolist()
        journal.write("level", number, level, np.array([self.moves, self.widest]))
        return level

    def _gathered(self, game: Game, run: Run) -> Codes:
        """The same, part by part."""
        number, last = len(self.levels), self.levels[-1]
        gathered, begin = Gathered(), 0
        kept = run.journal.read("half-level")
        if kept is not None and kept[0][0] == number:
            _, begin, self.moves, self.widest = kept[0].tolist()
            gathered.codes = kept[1]
        for at in range(begin, len(last), PART):
            part = last[at : at + PART]
            children = game.moves(part[game.ending(part) == UNFINISHED]).child
            self.moves += len(children)
            self.widest = max(self.widest, len(children))
            gathered.add(self._known.leave_out(distinct(children)))
            so_far = len(gathered.codes)
            run.count(number - 1, self._known.size + so_far, self._at_least(so_far))
            if run.journal.is_due:
                state = np.array([number, at + PART, self.moves, self.widest])
                run.journal.save("half-level", state, gathered.all())
        return gathered.all()

    def codes(self) -> Codes:
        """All positions, sorted."""
        return self._known.all()

    def plies(self) -> Distances:
        """For each of them the ply on which it is first reached."""
        codes = self.codes()
        ply = np.empty(len(codes), dtype=np.int32)
        for number, level in enumerate(self.levels):
            for at in range(0, len(level), PART):
                ply[np.searchsorted(codes, level[at : at + PART])] = number
        return ply


class _Known:
    """A growing set of codes: sorted runs, each less than half as long as the one before."""

    def __init__(self) -> None:
        self.size = 0
        self._runs: list[Codes] = []

    def add(self, codes: Codes) -> None:
        """Add sorted codes that are all new."""
        self.size += len(codes)
        self._runs.append(codes)
        while len(self._runs) > 1 and 2 * len(self._runs[-1]) > len(self._runs[-2]):
            self._merge_last(2)

    def leave_out(self, codes: Codes) -> Codes:
        """Those of some codes that are not in the set."""
        for run in self._runs:
            codes = codes[~places(run, codes)[1]]
        return codes

    def all(self) -> Codes:
        """All of them, sorted."""
        self._merge_last(len(self._runs))
        return self._runs[0]

    def _merge_last(self, count: int) -> None:
        if count > 1:
            merged = np.concatenate(self._runs[-count:])
            del self._runs[-count:]
            merged.sort(kind="stable")  # sorted runs, which this sort takes as they are
            self._runs.append(merged)
