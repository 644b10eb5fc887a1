"""A lower bound in exact arithmetic: that no point of a model costs as little as some figure.

The points are divided again and again by whether a pick is made.  For each part that is not divided further a
relaxation solved in floating point proposes a weight for every row; the weights are then made whole numbers, and
for any weights of 0 or more at all

    cost . v  >=  weight . at_least  +  the least of (cost - weight . matrix) . v over lower <= v <= upper

holds for every point v of that part.  So the bound is worked out here in whole numbers and owes floating point nothing:
that only chose where to look.  (Weak duality of linear programming; common practice in safe bounds.)
"""

import heapq
import math
import time
from collections.abc import Callable, Sequence
from typing import NamedTuple

import highspy
import numpy as np
import numpy.typing as npt

from games.codes import Indices
from solver.least.highs import linear_program, silent
from solver.least.model import Model, Whole

SCALE = 1 << 20
"""Weights are whole multiples of 1 / SCALE."""
LEAST_SECONDS = 1.0
"""What every relaxation may take, however little time is left."""
CANDIDATES, TRIALS = 8, 3
"""How many boards are compared before a part is divided, and how often a board is tried until it counts as known.

Measured on noughts and crosses, second on a fixed board where wrong input costs a turn: 10 parts with 4, 8 or 12 boards
compared, in 6, 13 and 26 CPU seconds; usual house rules, 127 parts with 16 compared before symmetries were used.
"""
TINY = 1e-6
LARGEST = 1 << 62


class Certificate(NamedTuple):
    """What was proved: no point costs less than `bound`, in so many parts, each with its weights checked."""

    bound: int
    parts: int
    complete: bool
    """Whether every part reached the figure that was asked for; else `bound` is what the worst of them gives."""


def exact_bound(model: Model, lower: Whole, upper: Whole, weights: Whole) -> int:
    """SCALE times a cost that every point within bounds (v,) reaches at least; weights (rows,) in 1 / SCALE.

    All in 64-bit whole numbers; raises ValueError where a weight is below 0, or so large that they might not do.
    """
    if (weights < 0).any():
        raise ValueError("a weight is below 0")
    if int(weights.max(initial=0)) * (len(model.value) + len(weights)) >= LARGEST:
        raise ValueError("weights are so large that 64 bits may not hold their sums")
    lengths = np.diff(model.row)
    spread = np.zeros(len(model.lower), dtype=np.int64)
    np.add.at(spread, model.column, np.repeat(weights, lengths) * model.value)
    left = SCALE * model.cost - spread
    return int((weights * model.at_least).sum() + np.minimum(left * lower, left * upper).sum())


class Part(NamedTuple):
    """Points of a model between bounds, (v,) each, and SCALE times a cost that all of them reach."""

    bound: int
    number: int
    lower: Whole
    upper: Whole


class Prover:
    """Proves that no point of a model costs less than a figure.

    Every row can be let off at the price of the figure itself, so that every relaxation has a solution and every
    part ends in weights, also one that holds no point at all.
    """

    def __init__(
        self,
        model: Model,
        figure: int,
        hear: Callable[[npt.NDArray[np.float64]], int] | None = None,
        symmetries: Sequence[Indices] = (),
        left: Callable[[], float] = lambda: math.inf,
    ) -> None:
        """symmetries: for each the variable (v,) to which each is carried, as `solver.least.alike` has them.

        left: seconds until a relaxation is broken off, be it the first of a large model.

        `hear` is told the relaxation's point, (v,), of each part that is divided, and gives the figure anew; so a
        point that costs less than the figure, once it is found, ends the work earlier.
        """
        self.model = model
        self.figure = figure
        self._symmetries = symmetries
        self._left = left
        self.done = 0
        self._hear = hear
        self._made = 0
        self._gains: dict[int, list[int]] = {}
        """By board: what dividing by its picks gained, each time that it was tried."""
        self._highs = silent()
        self._price = figure + 1
        self._highs.passModel(_with_rows_let_off(model, self._price))
        self._columns = np.arange(len(model.lower), dtype=np.int32)
        self._waiting: list[Part] | None = None
        self._end = math.inf

    def run(
        self, seconds: float = math.inf, progress: Callable[[int, int], bool] | None = None
    ) -> Certificate:
        """Divide until every part costs `figure` or more, or until time runs out; always the part that costs least.

        `progress` is told how many parts are done and the bound so far; False asks for an end.  Called again, it goes
        on where it was.
        """
        self._end = time.monotonic() + seconds
        waiting = self._begun()
        while waiting and not self._reached(waiting[0].bound):
            bound = _up(waiting[0].bound)
            if time.monotonic() >= self._end or not (progress is None or progress(self.done, bound)):
                return Certificate(bound, self.done, complete=False)
            part = heapq.heappop(waiting)
            pieces = self._divided(part)
            if not pieces:  # one point is left, and it costs less than the figure: that cannot be proved
                heapq.heappush(waiting, part)
                return Certificate(min(bound, self.figure), self.done, complete=self._reached(part.bound))
            for piece in pieces:
                if self._reached(piece.bound):
                    self.done += 1
                else:
                    heapq.heappush(waiting, piece)
        return Certificate(self.figure, self.done + len(waiting), complete=True)

    def _begun(self) -> list[Part]:
        """The parts that wait, at first the whole."""
        if self._waiting is None:
            self._waiting = [self._part(self.model.lower, self.model.upper)]
        return self._waiting

    def _reached(self, bound: int) -> bool:
        return _up(bound) >= self.figure

    def _part(self, lower: Whole, upper: Whole, at_least: int = 0) -> Part:
        """A part with its bound, be it out of a relaxation that was broken off; at_least: what is known beforehand."""
        weights, _ = self._relaxed(lower, upper)
        self._made += 1
        bound = exact_bound(self.model, lower, upper, weights)
        if self._highs.getModelStatus() == highspy.HighsModelStatus.kTimeLimit:
            bound = max(bound, at_least)
        return Part(bound, self._made, lower, upper)

    def point(self) -> npt.NDArray[np.float64]:
        """The point that the relaxation of the whole takes, (v,)."""
        return self._relaxed(self.model.lower, self.model.upper)[1]

    def _relaxed(self, lower: Whole, upper: Whole) -> tuple[Whole, npt.NDArray[np.float64]]:
        """Weights for the rows in a part, (rows,), and the point that the relaxation takes there, (v,)."""
        self._highs.changeColsBounds(
            len(self._columns), self._columns, lower.astype(np.float64), upper.astype(np.float64)
        )
        left = self._left()
        if left < math.inf:  # HiGHS counts the time of all runs together
            self._highs.setOptionValue("time_limit", self._highs.getRunTime() + max(left, LEAST_SECONDS))
        self._highs.run()
        solution = self._highs.getSolution()
        weights = np.clip(np.array(solution.row_dual), 0.0, self._price) * SCALE  # any weights are as true
        return np.rint(weights).astype(np.int64), np.array(solution.col_value)[: len(lower)]

    def _divided(self, part: Part) -> list[Part]:
        """The pieces of a part by the picks of the board that promises most.

        A board's promise is what dividing by it has gained so far; boards that are not known well enough are tried.
        """
        _, point = self._relaxed(part.lower, part.upper)
        if self._hear is not None:
            self.figure = min(self.figure, self._hear(point))
        best: tuple[float, int, list[Part]] | None = None
        for board in self._open_boards(part, point):
            if best is not None and time.monotonic() >= self._end:
                break
            known = self._gains.setdefault(board, [])
            pieces: list[Part] = []
            if len(known) < TRIALS:
                pieces = self._pieces(part, board)
                known.append(self._gain(part, pieces))
            promise = sum(known) / len(known)
            if best is None or promise > best[0]:
                best = (promise, board, pieces)
        return [] if best is None else best[2] or self._pieces(part, best[1])

    def _gain(self, part: Part, pieces: list[Part]) -> int:
        """How much the pieces cost more than the whole: mostly the two cheapest, for the rest of the work is theirs."""
        top = SCALE * self.figure
        gains = sorted(min(piece.bound, top) - part.bound for piece in pieces)
        return 4 * sum(gains[:2]) // len(gains[:2]) + sum(gains) // len(gains)

    def _pieces(self, part: Part, board: int) -> list[Part]:
        """The parts in which a board has each of its picks, or is not stored at all.

        Where symmetries carry the part into itself, a point with a pick carried to some other pick stands for one with
        that: so once a pick is made in one piece, what it can be carried to is made in none of those that come after.
        (Orbital branching; common practice.)
        """
        stored, picks = self.model.board[board], self.model.pick[self.model.pick_board == board]
        picks = picks[part.upper[picks] > 0]
        symmetries = self._symmetries_of(part)
        pieces = []
        left = part.upper.copy()
        for pick in picks:
            if not left[pick]:
                continue
            lower, upper = part.lower.copy(), left.copy()
            lower[stored] = lower[pick] = 1
            upper[picks] = 0
            upper[pick] = 1
            pieces.append(self._part(lower, upper, part.bound))
            left[[pick, *(each[pick] for each in symmetries)]] = 0
        if not part.lower[stored]:
            left[[stored, *(each[stored] for each in symmetries)]] = 0
            pieces.append(self._part(part.lower, left, part.bound))
        return pieces

    def _symmetries_of(self, part: Part) -> list[Indices]:
        """The symmetries that carry a part into itself."""
        return [
            each
            for each in self._symmetries
            if np.array_equal(part.lower[each], part.lower) and np.array_equal(part.upper[each], part.upper)
        ]

    def _open_boards(self, part: Part, point: npt.NDArray[np.float64]) -> list[int]:
        """The boards to compare among those whose pick the relaxation leaves open.

        First those that are sure to come and stay where they are in most symmetries of the part, for of the picks that
        change places only one need be tried; then those that the relaxation wants most.
        """
        model, of = self.model, self.model.pick_board
        top, free = np.zeros(len(model.board)), np.zeros(len(model.board), dtype=bool)
        np.maximum.at(top, of, point[model.pick])
        free[of[part.upper[model.pick] > 0]] = True
        free[of[part.lower[model.pick] > 0]] = False  # its pick is settled
        openness = np.minimum(top, 1 - top)
        wanted = np.where(free, point[model.board] * (openness > TINY) + openness / 1000, -1)
        staying = sum(
            (each[model.board] == model.board for each in self._symmetries_of(part)),
            np.zeros(len(free), dtype=np.intp),
        )
        first = np.where((wanted > TINY) & (part.lower[model.board] > 0), staying, 0)
        order = np.lexsort((-wanted, -first))[:CANDIDATES]
        return [int(board) for board in order if wanted[board] > TINY] or [
            int(board) for board in order[:1] if free[board]
        ]


def _up(bound: int) -> int:
    """A bound in SCALE parts as a whole number of answers: none costs less than the next one above."""
    return -(-bound // SCALE)


def _with_rows_let_off(model: Model, price: int) -> highspy.HighsLp:
    """The relaxation with one more column a row, which lets it off at a price."""
    rows, columns = len(model.at_least), len(model.lower)
    program = linear_program(model)
    program.num_col_ = columns + rows
    program.col_cost_ = np.concatenate([model.cost, np.full(rows, price)]).astype(np.float64)
    program.col_lower_ = np.concatenate([model.lower, np.zeros(rows)]).astype(np.float64)
    program.col_upper_ = np.concatenate([model.upper, np.full(rows, np.inf)]).astype(np.float64)
    program.a_matrix_.start_ = model.row + np.arange(rows + 1)
    program.a_matrix_.index_ = np.insert(model.column, model.row[1:], columns + np.arange(rows))
    program.a_matrix_.value_ = np.insert(model.value, model.row[1:], 1).astype(np.float64)
    return program
