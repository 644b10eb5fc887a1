"""The moves between positions that are all known, and the values worked back along them (retrograde analysis).

Work goes outward from the endings one ply at a time: a position is won as soon as its mover can reach a won one, and
lost once every move of it leads to lost ones, which is found by counting down its moves.  So distances come out in
order, and what is never decided is a draw.

Of every move only one number is kept, the places of both its positions: the moves into a position are then a run of
sorted numbers.  The names of the moves are not needed.
"""

import numpy as np
import numpy.typing as npt

from games.codes import DRAW, UNFINISHED, Bytes, Codes, Indices, distinct, win_of
from games.game import Game
from solver.graph import reach
from solver.progress import Stage
from solver.run import Run
from solver.values import NO_DISTANCE

Distances = npt.NDArray[np.int32]
Pairs = npt.NDArray[np.uint64]
"""Moves: the place of the child in the upper half of each number, that of the parent in the lower."""
MOST = 1 << 32
"""Places that fit into half a number."""
_HALF = np.uint64(32)
_LOWER = np.uint64(MOST - 1)
FEW = 1 << 13
"""So many positions are joined, or decided from, at a time: not so many that their moves would take much memory."""
JOINING = Stage("joining positions")
ORDERING = Stage("putting moves in order", is_even=False)
"""One step of numpy's own, which tells nothing while it goes on."""
WORKING_BACK = Stage("working back", is_last=True, may_end_early=True)

# Memory, as measured (tests/solver/test_memory.py).
BYTES_A_POSITION = 44
"""For each position: code, ply, mover, value, distance, moves left, where the moves into it begin, and frontiers."""
BYTES_A_PAIR = 8
BYTES_A_MOVE = 80
"""For each move of the positions that are joined, or decided from, at a time."""


def bytes_at_least(positions: int, moves: int) -> int:
    """What so many positions and moves take, however many there are besides."""
    return BYTES_A_POSITION * positions + BYTES_A_PAIR * moves


def bytes_needed(positions: int, moves: int) -> int:
    """What they take at their greatest; some positions have more moves than others, so a quarter is added."""
    at_a_time = min(moves, 5 * moves * FEW // (4 * positions))
    return bytes_at_least(positions, moves) + BYTES_A_MOVE * at_a_time


class Joined:
    """The positions with the moves into each of them, and what is known of their values.

    pairs: (m,) Pairs, sorted; first: (n + 1,) where those of each position begin; mover, value: (n,) Bytes;
    distance: (n,); left: (n,) how many moves of a position do not yet lead to a loss of its mover's.
    followed: how many moves have been followed back.
    """

    def __init__(self, game: Game, codes: Codes, moves: int, run: Run) -> None:
        self.size = len(codes)
        self.followed = 0
        self.mover: Bytes = np.empty(self.size, dtype=np.uint8)
        self.value: Bytes = np.empty(self.size, dtype=np.uint8)
        self.left = np.zeros(self.size, dtype=np.uint16)
        self.pairs: Pairs = np.empty(moves, dtype=np.uint64)
        self._join(game, codes, run)
        run.tell(ORDERING, 0, self.size, self.size)
        self.pairs.sort()
        wanted = np.arange(self.size + 1, dtype=np.uint64) << _HALF
        self.first: Indices = np.searchsorted(self.pairs, wanted)

    def _join(self, game: Game, codes: Codes, run: Run) -> None:
        """Make every move once more and note its pair; what has been noted since the last time is kept now and then."""
        pieces, done, noted = self._noted_before(run)
        written = done, noted
        for at in range(0, self.size, FEW):
            part = codes[at : at + FEW]
            self.mover[at : at + FEW] = game.mover(part)
            self.value[at : at + FEW] = ending = game.ending(part)
            if at < done:
                continue
            run.tell(JOINING, at, self.size, self.size)
            noted = self._note(game, codes, at, np.flatnonzero(ending == UNFINISHED), noted)
            if run.journal.is_due:
                end = min(at + FEW, self.size)
                left, pairs = self.left[written[0] : end], self.pairs[written[1] : noted]
                run.journal.write("pairs", pieces, left, pairs)
                pieces, written = pieces + 1, (end, noted)
        assert noted == len(self.pairs), "the game gives the same moves when it is asked again"

    def _noted_before(self, run: Run) -> tuple[int, int, int]:
        """Take over what an earlier run has noted: in how many pieces, of how many positions, and how many pairs."""
        pieces = done = noted = 0
        while (kept := run.journal.read("pairs", pieces)) is not None:
            left, pairs = kept
            self.left[done : done + len(left)] = left
            self.pairs[noted : noted + len(pairs)] = pairs
            pieces, done, noted = pieces + 1, done + len(left), noted + len(pairs)
        return pieces, done, noted

    def _note(self, game: Game, codes: Codes, begin: int, open_: Indices, noted: int) -> int:
        """Note the moves of some positions behind those that are noted; how many there are then."""
        if not len(open_):
            return noted
        parent, _, child = game.moves(codes[begin + open_])
        self.left[begin + open_] = np.bincount(parent, minlength=len(open_))
        pairs = np.searchsorted(codes, child).astype(np.uint64) << _HALF
        pairs |= (begin + open_)[parent].astype(np.uint64)
        self.pairs[noted : noted + len(pairs)] = pairs
        return noted + len(pairs)

    # Values ----------------------------------------------------------------------------------------------------

    def work_back(self, run: Run) -> tuple[Bytes, Distances]:
        """Value and distance of every position."""
        plies, at, frontier = self._begin(run)
        while len(frontier):
            new = []
            for begin in range(at, len(frontier), FEW):
                run.tell(WORKING_BACK, self.followed, len(self.pairs), self.size)
                if run.journal.is_due:
                    state = np.array([plies, begin, self.followed])
                    run.journal.save("back", state, self.value, self.distance, self.left)
                new.append(self._decide(frontier[begin : begin + FEW], plies + 1))
            plies += 1
            # What was decided before an interruption is not among the new ones, so all are looked for then.
            frontier = np.flatnonzero(self.distance == plies) if at else np.sort(np.concatenate(new))
            at = 0
        self.value[self.value == UNFINISHED] = DRAW
        return self.value, self.distance

    def _begin(self, run: Run) -> tuple[int, int, Indices]:
        """From where to work back: the plies, the place in the frontier, and the frontier (places in order)."""
        kept = run.journal.read("back")
        if kept is not None:
            (plies, at, self.followed), self.value, self.distance, self.left = kept[0].tolist(), *kept[1:]
            return plies, at, np.flatnonzero(self.distance == plies)
        is_won = (self.value != UNFINISHED) & (self.value != DRAW)
        self.distance = np.where(is_won, 0, NO_DISTANCE).astype(np.int32)
        return 0, 0, np.flatnonzero(is_won)

    def _decide(self, frontier: Indices, plies: int) -> Indices:
        """Decide what follows from some of the positions that were decided last; which positions these are."""
        moves = reach(frontier, self.first)
        self.followed += len(moves)
        winner = np.repeat(self.value[frontier], self.first[frontier + 1] - self.first[frontier])
        parent = (self.pairs[moves] & _LOWER).astype(np.intp)
        chosen = win_of(0) + self.mover[parent] == winner
        forced = parent[~chosen]
        np.subtract.at(self.left, forced, np.uint16(1))
        lost = forced[self.left[forced] == 0]
        parent, winner = (
            np.concatenate([parent[chosen], lost]),
            np.concatenate([winner[chosen], 2 - self.mover[lost]]),
        )
        is_new = self.value[parent] == UNFINISHED
        parent = parent[is_new]
        self.value[parent] = winner[is_new]
        self.distance[parent] = plies
        return distinct(parent)
