"""Solve games of placing men and then sliding them, on matrices: the men of who is to move against the other's.

Both sides have the same number of men and the same rules, so a position of the moving phase is a pair of sets of
points, whoever's turn it is: row = rank of the mover's men, column = rank of the other's.  One signed byte says value
and distance, seen by the mover: 0 a draw or not yet decided, ``WON - d`` a win in d plies, ``d - WON`` a loss.

The moving phase is worked back ply by ply over *directed steps* (a man from one point to a joined one): within one
such step no position is met twice, so whole rows, or lists of places, are handled by plain array arithmetic.  The
placing phase follows by gathering rows, as in solver/halves.py.

Which positions can arise needs no search.  A line ends the game, so while nobody has one every arrangement can be
placed, in any order; and whatever a slide can make has such an arrangement before it.
"""

from collections.abc import Iterator
from itertools import combinations
from math import comb

import numpy as np
import numpy.typing as npt

from games.codes import (
    DRAW,
    FIRST,
    FIRST_WINS,
    SECOND_WINS,
    TURN,
    Codes,
    Flags,
    Indices,
    distinct,
)
from games.game import Game
from games.steps.rules import LOSES, WIN
from games.steps.steps import Steps
from solver.progress import Stage
from solver.run import Run
from solver.values import NO_DISTANCE, Values

Matrix = npt.NDArray[np.int8]
Sets = npt.NDArray[np.uint32]
WON = 120
NO_MOVE = 127
"""The byte of what is no position: men that overlap, or a mover who has a line already."""
STRIP = 512
"""Columns that are worked on together, so that their rows stay near the processor."""
SPARSE = 100
"""With fewer than one decided position in so many, places are listed instead of whole rows."""

WORKING_BACK = Stage("working back", is_even=False)
"""Nobody knows how many plies there are to come, nor how much is decided in each."""


class TooDeep(Exception):
    """Some win takes more plies than a byte can say."""


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


class Slides:
    """A solved game of placing and sliding: see `solver.solved.Solved`."""

    def __init__(self, game: Steps, run: Run) -> None:
        self.game: Game = game
        self.start = game.start
        self._steps_game = game
        self._points = game.board.size
        self._lines = [sum(1 << point for point in line) for line in game.setting.lines]
        self._count = game.setting.men[0]
        self._men = [MenSets(self._points, men, self._lines) for men in range(self._count + 1)]
        self._moving = _Retrograde(game, self._men[-1], run).table
        self._placing = self._place_back()
        self._apart = _disjoint(self._men[-1], self._men[-1])
        self.arrangements = int(np.count_nonzero(self._apart))
        """How many ways there are to set up the men, seen by the mover, unlawful ones included."""
        self._counts = [int(np.count_nonzero(mask)) for _, _, mask in self._arising()]
        self.positions = sum(self._counts)

    @property
    def held(self) -> int:
        """How many bytes the result takes, but for a little."""
        return sum(each.nbytes for each in (self._moving, self._apart, *self._placing))

    @property
    def largest_ply(self) -> int:
        """How many positions are first reached on one ply, at most."""
        return max(self._counts)

    # The placing phase ---------------------------------------------------------------------------------------

    def _place_back(self) -> list[Matrix]:
        """For each ply of the placing phase its matrix: the mover's men against the other's."""
        matrices: list[Matrix] = []
        following = self._moving
        for ply in range(2 * self._count - 1, -1, -1):
            following = self._placed(ply, following)
            matrices.append(following)
        return matrices[::-1]

    def _placed(self, ply: int, following: Matrix) -> Matrix:
        """The matrix of a ply from that of the next, where the sides have changed places."""
        mine, other, then = self._men[ply // 2], self._men[(ply + 1) // 2], self._men[ply // 2 + 1]
        turned = np.ascontiguousarray(following.T)
        best = np.full((len(mine), len(other)), NO_MOVE, dtype=np.int8)
        for point in range(self._points):
            rows = mine.without(point)
            more = then.rank(mine.sets[rows] | np.uint32(1 << point))
            best[rows] = np.minimum(best[rows], turned[more])
        best = -best
        best -= np.sign(best)  # one ply farther away
        best[:, other.has_line] = -WON
        apart = _disjoint(mine, other)
        np.copyto(best, NO_MOVE, where=np.logical_not(apart, out=apart))
        best[mine.has_line] = NO_MOVE
        return best

    # What can arise ------------------------------------------------------------------------------------------

    def _arising(self) -> Iterator[tuple[int, Matrix, Flags]]:
        """For each ply of the placing phase, and then each side to move: the turn, the matrix, what can arise in it."""
        for ply, matrix in enumerate(self._placing):
            mine, other = self._men[ply // 2], self._men[(ply + 1) // 2]
            yield ply % 2, matrix, _disjoint(mine, other) & ~mine.has_line[:, None]
        full = self._men[-1]
        lawful = self._apart & ~full.has_line[:, None]
        yield FIRST, self._moving, lawful
        entered = self._points_left()
        for rows in _chunks(len(full)):
            lawful[rows] &= (entered[None, :] & ~full.sets[rows, None]) != 0
        yield 1 - FIRST, self._moving, lawful

    def _points_left(self) -> Sets:
        """For each set of men the points from which its last slide can have come, as sets of points."""
        full = self._men[-1]
        left = np.zeros(len(full), dtype=np.uint32)
        for step in _directed(self._steps_game, full):
            from_open = ~full.has_line[step.before]
            left[step.after[from_open]] |= np.uint32(1 << step.origin)
        return left

    # What callers ask ----------------------------------------------------------------------------------------

    def look_up(self, codes: Codes) -> Values:
        """The values of positions that can arise; KeyError for what is no position."""
        held = self._steps_game.holdings(codes)
        to_move = self._steps_game.mover(codes).astype(np.intp)
        mine = np.where(to_move == FIRST, held[0], held[1]).astype(np.uint32)
        other = np.where(to_move == FIRST, held[1], held[0]).astype(np.uint32)
        men = (_bit_count(mine), _bit_count(other))
        bytes_ = np.full(len(codes), NO_MOVE, dtype=np.int8)
        for mine_men, other_men in {*zip(men[0].tolist(), men[1].tolist(), strict=True)}:
            at = np.flatnonzero((men[0] == mine_men) & (men[1] == other_men))
            matrix = self._matrix(mine_men, other_men)
            rows, columns = self._men[mine_men].rank(mine[at]), self._men[other_men].rank(other[at])
            bytes_[at] = matrix[rows, columns]
        if (bytes_ == NO_MOVE).any():
            raise KeyError(f"position {int(codes[bytes_ == NO_MOVE][0]):#x} cannot arise")
        winner = np.where(bytes_ > 0, to_move, 1 - to_move)
        value = np.where(bytes_ == 0, DRAW, np.where(winner == FIRST, FIRST_WINS, SECOND_WINS)).astype(
            np.uint8
        )
        distance = np.where(bytes_ == 0, NO_DISTANCE, WON - np.abs(bytes_.astype(np.intp)))
        return Values(value, distance)

    def _matrix(self, mine: int, other: int) -> Matrix:
        if mine == other == self._count:
            return self._moving
        ply = mine + other
        if (mine, other) != (ply // 2, (ply + 1) // 2):
            raise KeyError(f"no position has {mine} men of the mover's and {other} of the other's")
        return self._placing[ply]

    def plies(self) -> Iterator[Codes]:
        """The positions that can arise, by the plies of the placing phase; the moving phase by whose turn it is."""
        for turn, matrix, mask in self._arising():
            row, column = np.nonzero(mask)
            if not len(row):  # a full board, or every line made before all men are placed
                return
            mine, other = self._sets_of(matrix)
            first, second = (mine[row], other[column]) if turn == FIRST else (other[column], mine[row])
            codes = first.astype(np.uint64) | second.astype(np.uint64) << np.uint64(self._points)
            yield distinct(codes | TURN if turn != FIRST else codes)

    def _sets_of(self, matrix: Matrix) -> tuple[Sets, Sets]:
        sizes = {len(men): men.sets for men in self._men}
        return sizes[matrix.shape[0]], sizes[matrix.shape[1]]


class _Retrograde:
    """The moving phase, worked back from its endings.

    table: (N, N) the bytes; left: (N, N) how many moves of a position do not yet lead to a loss of its mover's.
    The frontier is what was decided in the last ply: all places that hold its byte.
    """

    def __init__(self, game: Steps, men: MenSets, run: Run) -> None:
        self.men = men
        self.size = len(men)
        self.steps = list(_directed(game, men))
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
        found = int(np.count_nonzero(self.table == _byte(self.plies)))
        places: Indices | None = None
        while found:
            run.tell(WORKING_BACK, decided, total, total)
            if run.journal.is_due:
                run.journal.save("slides", np.array([self.plies]), self.table.ravel(), self.left.ravel())
            if found * SPARSE > self.size**2:
                found = self._decide_rows()
                places = None
            else:
                last = np.flatnonzero(self.table == _byte(self.plies)) if places is None else places
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
        for rows in _chunks(self.size, 64):  # so few rows that they stay near the processor
            for men_beside, is_free in zip(beside, self.free, strict=True):
                count[rows] += men_beside[rows, None] * is_free
        return count

    def _set_endings(self) -> None:
        """Lost at once: the other has a line, or there is no move.  What is no position gets NO_MOVE."""
        self.table[self.left == 0] = _byte(0)
        self.table[:, self.men.has_line] = _byte(0)
        self.table[self.men.has_line] = NO_MOVE
        apart = _disjoint(self.men, self.men)
        np.copyto(self.table, NO_MOVE, where=np.logical_not(apart, out=apart))

    def _decide_rows(self) -> int:
        """Decide what follows from many places, whole rows at a time, one directed step after the other; how many."""
        wins = self.plies % 2 == 0
        found = 0
        last = (self.table == _byte(self.plies)).view(np.uint8)
        for columns in _chunks(self.size, STRIP):
            lead_here = self._lead_here(last[columns].T, self.free[:, columns])
            decided = lead_here != 0
            if not wins:
                self.left[:, columns] -= lead_here
                decided &= self.left[:, columns] == 0
            decided &= self.table[:, columns] == 0
            found += int(np.count_nonzero(decided))
            np.copyto(self.table[:, columns], _byte(self.plies + 1), where=decided)
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
            table[places] = _byte(self.plies + 1)
            new.append(places)
        return np.concatenate(new)


def _byte(plies: int) -> np.int8:
    """What stands for positions that are decided in so many plies: losses in even ones, wins in odd ones."""
    return np.int8(WON - plies if plies % 2 else plies - WON)


def _directed(game: Steps, men: MenSets) -> Iterator[DirectedStep]:
    for one, other in game.setting.steps:
        yield DirectedStep(men, one, other)
        yield DirectedStep(men, other, one)


def _chunks(rows: int, size: int = 128) -> Iterator[slice]:
    return (slice(begin, begin + size) for begin in range(0, rows, size))


def _disjoint(mine: MenSets, other: MenSets) -> Flags:
    """(n, m): which sets share no point."""
    apart = np.empty((len(mine), len(other)), dtype=bool)
    for rows in _chunks(len(mine)):
        apart[rows] = (mine.sets[rows, None] & other.sets[None, :]) == 0
    return apart


def _bit_count(sets: Sets) -> Indices:
    count = np.zeros(len(sets), dtype=np.intp)
    for point in range(32):
        count += (sets >> np.uint32(point) & np.uint32(1)).astype(np.intp)
    return count


def slide_game(game: Game) -> Steps | None:
    """The game, if this engine can solve it: equal sides, all men placed first, lines win at once, no further rules."""
    if not isinstance(game, Steps) or game.board.size > 31 or not any(game.setting.in_hand):
        return None
    rules = game.setting
    plain = (
        rules.men[0] == rules.men[1] and not any(rules.standing) and not rules.barred and not rules.guarded
    )
    usual = rules.lines_while_placing == WIN and rules.blocked == LOSES and rules.begins == FIRST
    if not (plain and usual):
        return None
    lines = [sum(1 << point for point in line) for line in rules.lines]
    full = MenSets(game.board.size, rules.men[0], lines)
    return game if _can_be_completed(full, game.board.size, lines).all() else None


def bytes_needed(game: Steps) -> int:
    """How many bytes the engine takes at its greatest, results included.

    There are three matrices of the moving phase and a part of a fourth, a strip of columns that is worked on, and what
    each directed step leads to.
    """
    sets = comb(game.board.size, game.setting.men[0])
    steps = 2 * len(game.setting.steps)
    return 18 * sets**2 // 5 + 5 * sets * min(STRIP, sets) + 24 * steps * sets


def _can_be_completed(men: MenSets, points: int, lines: list[int]) -> Flags:
    """Whether each set that has a line can have been made from one that has none, by its last man."""
    fewer = MenSets(points, men.men - 1, lines)
    can = ~men.has_line
    for point in range(points):
        held = np.flatnonzero(men.sets >> np.uint32(point) & np.uint32(1))
        before = fewer.rank(men.sets[held] ^ np.uint32(1 << point))
        can[held] |= ~fewer.has_line[before]
    return can


def solve_slides(game: Steps, run: Run | None = None) -> Slides:
    """Solve a game that `slide_game` lets through.  Raises TooDeep where a win takes too many plies for a byte."""
    run = run or Run()
    run.plan(bytes_needed(game))
    return Slides(game, run)
