"""The moving phase of a game of sliding men, worked back ply by ply on a matrix of the mover's men against the other's.

The work goes over *directed steps* (a man from one point to a joined one): within one such step no position is met
twice, so whole rows, or lists of places, are handled by plain array arithmetic.
"""

from math import comb

import numpy as np
import numpy.typing as npt

from games.codes import Indices
from games.steps.steps import Steps
from solver.men import MenSets, chunks, directed, disjoint
from solver.progress import Stage
from solver.run import Run

Matrix = npt.NDArray[np.int8]
WON = 120
NO_MOVE = 127
"""The byte of what is no position: men that overlap, or a mover who has a line already."""
STRIP = 512
"""Columns that are worked on together, so that their rows stay near the processor."""
SPARSE, SPARSE_NEARBY = 100, 50
"""With fewer than one decided position in so many, places are listed instead of whole rows; the second figure is for
tables of up to NEARBY bytes, in which places far apart are still near the processor.  Measured on 4 x 4 and 5 x 5."""
NEARBY = 8 << 20

WORKING_BACK = Stage("working back", is_even=False)
"""Nobody knows how many plies there are to come, nor how much is decided in each."""


class TooDeep(Exception):
    """Some win takes more plies than a byte can say."""


class MovingPhase:
    """The moving phase, worked back from its endings.

    table: (N, N) the bytes; left: (N, N) how many moves of a position do not yet lead to a loss of its mover's.
    The frontier is what was decided in the last ply: all places that hold its byte.
    """

    def __init__(self, game: Steps, men: MenSets, run: Run) -> None:
        self.men = men
        self.size = len(men)
        self.steps = list(directed(game, men))
        points = range(game.board.size)
        self.free = np.stack([men.sets >> np.uint32(point) & np.uint32(1) ^ np.uint32(1) for point in points])
        self.free = self.free.astype(np.uint8)
        """(points, N): 1 where a set does not hold the point."""
        self._begin(game, run)
        self._go_back(run)

    def _begin(self, game: Steps, run: Run) -> None:
        """Set up what is decided in no ply at all, or what an interrupted run had done."""
        self.plies = 0
        kept = run.journal.read("slides")
        if kept is None:
            self.left = self._count_moves(game)
            self.table: Matrix = np.zeros((self.size, self.size), dtype=np.int8)
            self._set_endings()
        else:
            self.plies = int(kept[0][0])
            self.table, self.left = (matrix.reshape(self.size, self.size) for matrix in kept[1:])

    def _go_back(self, run: Run) -> None:
        """Decide ply after ply, until nothing follows from the last."""
        total = comb(self.men.points, self.men.men) * comb(self.men.points - self.men.men, self.men.men)
        decided = int(np.count_nonzero(self.table)) - (self.size**2 - total)
        found = int(np.count_nonzero(self.table == byte_of(self.plies)))
        places: Indices | None = None
        sparse = SPARSE_NEARBY if self.table.nbytes <= NEARBY else SPARSE
        while found:
            run.tell(WORKING_BACK, decided, total, total)
            if run.journal.is_due:
                run.journal.save("slides", np.array([self.plies]), self.table.ravel(), self.left.ravel())
            if found * sparse > self.size**2:
                found = self._decide_rows()
                places = None
            else:
                last = np.flatnonzero(self.table == byte_of(self.plies)) if places is None else places
                places = self._decide_places(last)
                found = len(places)
            decided += found
            self.plies += 1
            if self.plies >= WON:
                raise TooDeep

    def _count_moves(self, game: Steps) -> npt.NDArray[np.uint8]:
        """How many slides each mover has: its men beside each point, where that point is free, added up."""
        near = np.zeros((game.board.size, game.board.size), dtype=np.uint8)
        for one, other in game.setting.steps:
            near[one, other] = near[other, one] = 1
        beside = (
            near @ (1 - self.free)
        ) * self.free  # (points, N): men beside a point that the set does not hold
        count = np.zeros((self.size, self.size), dtype=np.uint8)
        for rows in chunks(self.size, 64):  # so few rows that they stay near the processor
            for men_beside, is_free in zip(beside, self.free, strict=True):
                count[rows] += men_beside[rows, None] * is_free
        return count

    def _set_endings(self) -> None:
        """Lost at once: the other has a line, or there is no move.  What is no position gets NO_MOVE."""
        self.table[self.left == 0] = byte_of(0)
        self.table[:, self.men.has_line] = byte_of(0)
        self.table[self.men.has_line] = NO_MOVE
        apart = disjoint(self.men, self.men)
        np.copyto(self.table, NO_MOVE, where=np.logical_not(apart, out=apart))

    def _decide_rows(self) -> int:
        """Decide what follows from many places, whole rows at a time, one directed step after the other; how many."""
        wins = self.plies % 2 == 0
        found = 0
        last = (self.table == byte_of(self.plies)).view(np.uint8)
        for columns in chunks(self.size, STRIP):
            lead_here = self._lead_here(last[columns].T, self.free[:, columns])
            decided = lead_here != 0
            if not wins:
                self.left[:, columns] -= lead_here
                decided &= self.left[:, columns] == 0
            decided &= self.table[:, columns] == 0
            found += int(np.count_nonzero(decided))
            np.copyto(self.table[:, columns], byte_of(self.plies + 1), where=decided)
        return found

    def _lead_here(self, turned: npt.NDArray[np.uint8], free: npt.NDArray[np.uint8]) -> npt.NDArray[np.uint8]:
        """How many slides lead into the frontier, for a strip of columns (the men that are not moved)."""
        strip = np.ascontiguousarray(turned)
        count = np.zeros_like(strip)
        for step in self.steps:
            rows = np.take(strip, step.after, axis=0)
            rows &= free[step.origin]
            count[step.before] += rows
        return count

    def _decide_places(self, last: Indices) -> Indices:
        """Decide what follows from few places (row * N + column), one directed step after the other; these places."""
        table, left = self.table.reshape(-1), self.left.reshape(-1)
        mine, other = np.divmod(last, self.size)
        new = []
        for step in self.steps:
            before = step.came_from[other]
            possible = np.flatnonzero((before >= 0) & (self.free[step.origin][mine] != 0))
            places = before[possible] * self.size + mine[possible]
            if self.plies % 2 == 1:
                left[places] -= 1
                places = places[left[places] == 0]
            places = places[table[places] == 0]
            table[places] = byte_of(self.plies + 1)
            new.append(places)
        return np.concatenate(new)


def byte_of(plies: int) -> np.int8:
    """What stands for positions that are decided in so many plies: losses in even ones, wins in odd ones."""
    return np.int8(WON - plies if plies % 2 else plies - WON)
