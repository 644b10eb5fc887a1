"""Solve a game in which positions can come back: find them all, note where every move comes from, and work back.

Work goes outward from the endings one ply at a time (retrograde analysis): a position is won as soon as its mover can
reach a won one, and lost once every move of it leads to lost ones, which is found by counting down its moves.  So
distances come out in order, and what is never decided is a draw.

Between two positions only one number is kept, the places of both: the moves into a position are then a run of sorted
numbers.  The names of the moves are not needed.
"""

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from games.codes import DRAW, UNFINISHED, Bytes, Codes, Indices, distinct, win_of
from games.game import Game
from solver.forward import PART, Gathered
from solver.graph import TooLarge, reach
from solver.places import places
from solver.progress import Stage
from solver.run import Run, bytes_held
from solver.values import NO_DISTANCE, Values

Distances = npt.NDArray[np.int32]
Pairs = npt.NDArray[np.uint64]
"""Moves: the place of the child in the upper half of each number, that of the parent in the lower."""
MOST = 1 << 32
"""Places that fit into half a number."""
_HALF = np.uint64(32)
_LOWER = np.uint64(MOST - 1)
JOINING = Stage("joining positions")
ORDERING = Stage("putting moves in order", is_even=False)
"""One step of numpy's own, which tells nothing while it goes on."""
WORKING_BACK = Stage("working back", is_last=True, may_end_early=True)

FEW = 1 << 13
"""So many positions are joined, or decided from, at a time: not so many that their moves would take much memory."""

# Memory, as measured (tests/solver/test_memory.py).
BYTES_FOUND = 28
"""For each position while they are found: twice its code, and all of them once more when they are put in order."""
BYTES_GATHERED = 24
"""For each position of the next ply while it is gathered."""
BYTES_A_MOVE = 64
"""For each move of the positions whose children are found at a time."""
BYTES_JOINED = 44
"""For each position while work goes back: code, ply, mover, value, distance, moves left, moves into it, frontiers."""
BYTES_A_PAIR = 8
BYTES_A_MOVE_JOINED = 80
"""For each move of the positions that are joined, or decided from, at a time."""


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
    joined = _Joined(game, codes, moves, run)
    value, distance = joined.work_back(run)
    return Loops(game, first, codes, ply, value, distance)


# Positions -----------------------------------------------------------------------------------------------------


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
        at_a_time = min(self.moves, 5 * self.moves * FEW // (4 * self._known.size))
        return max(self._finding, self._joined(self._known.size) + BYTES_A_MOVE_JOINED * at_a_time)

    def _at_least(self, gathered: int = 0) -> int:
        """What it takes with these positions and so many of a next ply, however many there are to come."""
        positions = self._known.size + gathered
        finding = BYTES_FOUND * positions + BYTES_GATHERED * gathered + BYTES_A_MOVE * self.widest
        self._finding = max(self._finding, finding)
        return max(self._finding, self._joined(positions))

    def _joined(self, positions: int) -> int:
        return BYTES_JOINED * positions + BYTES_A_PAIR * self.moves

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


# Moves ---------------------------------------------------------------------------------------------------------


class _Joined:
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
