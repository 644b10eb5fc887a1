"""Solve games of placing men and then sliding them, on matrices: the men of who is to move against the other's.

Both sides have the same number of men and the same rules, so a position of the moving phase is a pair of sets of
points, whoever's turn it is: row = rank of the mover's men, column = rank of the other's.  One signed byte says value
and distance, seen by the mover: 0 a draw or not yet decided, ``WON - d`` a win in d plies, ``d - WON`` a loss.

The moving phase is worked back ply by ply (solver/moving_phase.py).  The placing phase follows by gathering rows, as in
solver/halves.py.

Which positions can arise needs no search.  A line ends the game, so while nobody has one every arrangement can be
placed, in any order; and whatever a slide can make has such an arrangement before it.
"""

from collections.abc import Iterator
from math import comb

import numpy as np

from games.codes import (
    DRAW,
    FIRST,
    FIRST_WINS,
    SECOND_WINS,
    TURN,
    Codes,
    Flags,
    distinct,
)
from games.game import Game
from games.steps.rules import LOSES, WIN
from games.steps.steps import Steps
from solver.men import MenSets, Sets, bit_count, chunks, directed, disjoint
from solver.moving_phase import NO_MOVE, STRIP, WON, Matrix, MovingPhase
from solver.run import Run
from solver.values import NO_DISTANCE, Values


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
        self._moving = MovingPhase(game, self._men[-1], run).table
        self._placing = self._place_back()
        self._apart = disjoint(self._men[-1], self._men[-1])
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
        apart = disjoint(mine, other)
        np.copyto(best, NO_MOVE, where=np.logical_not(apart, out=apart))
        best[mine.has_line] = NO_MOVE
        return best

    # What can arise ------------------------------------------------------------------------------------------

    def _arising(self) -> Iterator[tuple[int, Matrix, Flags]]:
        """For each ply of the placing phase, and then each side to move: the turn, the matrix, what can arise in it."""
        for ply, matrix in enumerate(self._placing):
            mine, other = self._men[ply // 2], self._men[(ply + 1) // 2]
            yield ply % 2, matrix, disjoint(mine, other) & ~mine.has_line[:, None]
        full = self._men[-1]
        lawful = self._apart & ~full.has_line[:, None]
        yield FIRST, self._moving, lawful
        entered = self._points_left()
        for rows in chunks(len(full)):
            lawful[rows] &= (entered[None, :] & ~full.sets[rows, None]) != 0
        yield 1 - FIRST, self._moving, lawful

    def _points_left(self) -> Sets:
        """For each set of men the points from which its last slide can have come, as sets of points."""
        full = self._men[-1]
        left = np.zeros(len(full), dtype=np.uint32)
        for step in directed(self._steps_game, full):
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
        men = (bit_count(mine), bit_count(other))
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
