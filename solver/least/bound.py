"""A lower bound in exact arithmetic: that no point of a model costs as little as some figure.

The points are divided again and again by whether a pick is made.  For each part that is not divided further a
relaxation solved in floating point proposes a weight for every row; the weights are then made whole numbers, and
for any weights of 0 or more at all

    cost . v  >=  weight . at_least  +  the least of (cost - weight . matrix) . v over lower <= v <= upper

holds for every point v of that part.  So the bound is worked out here in whole numbers and owes floating point nothing:
that only chose where to look.  (Weak duality of linear programming; common practice in safe bounds.)
"""

import math
import time
from collections.abc import Callable, Iterator
from typing import NamedTuple

import highspy
import numpy as np

from solver.least.highs import linear_program, silent
from solver.least.model import Model, Whole

SCALE = 1 << 20
"""Weights are whole multiples of 1 / SCALE."""


class Certificate(NamedTuple):
    """What was proved: no point costs less than `bound`, in so many parts, each with its weights checked."""

    bound: int
    parts: int
    complete: bool
    """Whether every part reached the figure that was asked for; else `bound` is what the worst of them gives."""


def exact_bound(model: Model, lower: Whole, upper: Whole, weights: Whole) -> int:
    """SCALE times a cost that every point within bounds (v,) reaches at least; weights (rows,) in 1 / SCALE.

    All in 64-bit whole numbers, and far from their limits: a weight is at most SCALE times the number of boards.
    """
    if (weights < 0).any():
        raise ValueError("a weight is below 0")
    lengths = np.diff(model.row)
    spread = np.zeros(len(model.lower), dtype=np.int64)
    np.add.at(spread, model.column, np.repeat(weights, lengths) * model.value)
    left = SCALE * model.cost - spread
    return int((weights * model.at_least).sum() + np.minimum(left * lower, left * upper).sum())


class Prover:
    """Proves that no point of a model costs less than a figure.

    Every row can be let off at the price of the figure itself, so that every relaxation has a solution and every
    part ends in weights, also one that holds no point at all.
    """

    def __init__(self, model: Model, figure: int) -> None:
        self.model = model
        self.figure = figure
        self._highs = silent()
        self._highs.passModel(_with_rows_let_off(model, figure + 1))
        self._columns = np.arange(len(model.lower), dtype=np.int32)
        self.done = 0

    def run(
        self, seconds: float = math.inf, progress: Callable[[int, int], bool] | None = None
    ) -> Certificate:
        """Divide until every part costs `figure` or more, or until time runs out.

        `progress` is told how many parts are done and how many wait; False asks for an end.
        """
        end = time.monotonic() + seconds
        waiting = [(0, self.model.lower, self.model.upper)]
        while waiting and time.monotonic() < end and (progress is None or progress(self.done, len(waiting))):
            _, lower, upper = waiting.pop()
            weights, point = self._relaxed(lower, upper)
            bound = -(-exact_bound(self.model, lower, upper, weights) // SCALE)
            if bound < self.figure:
                waiting.extend((bound, *part) for part in self._divided(lower, upper, point))
            else:
                self.done += 1
        return Certificate(min([self.figure, *(bound for bound, _, _ in waiting)]), self.done, not waiting)

    def _relaxed(self, lower: Whole, upper: Whole) -> tuple[Whole, np.ndarray]:
        """Weights for the rows in a part, (rows,), and the point that the relaxation takes there, (v,)."""
        self._highs.changeColsBounds(
            len(self._columns), self._columns, lower.astype(np.float64), upper.astype(np.float64)
        )
        self._highs.run()
        solution = self._highs.getSolution()
        weights = np.maximum(np.array(solution.row_dual), 0.0) * SCALE
        return np.rint(weights).astype(np.int64), np.array(solution.col_value)[: len(lower)]

    def _divided(self, lower: Whole, upper: Whole, point: np.ndarray) -> Iterator[tuple[Whole, Whole]]:
        """The parts in which a board has each of its picks, or is not stored at all."""
        board = self._most_open(upper, point)
        picks = self.model.boards + np.flatnonzero(self.model.pick_board == board)
        picks = picks[upper[picks] > 0]
        if not lower[board]:
            without = upper.copy()
            without[board] = without[picks] = 0
            yield lower, without
        for pick in picks:
            with_pick, only = lower.copy(), upper.copy()
            with_pick[board] = with_pick[pick] = 1
            only[picks] = 0
            only[pick] = 1
            yield with_pick, only

    def _most_open(self, upper: Whole, point: np.ndarray) -> int:
        """The board that is wanted most among those whose pick the relaxation leaves open."""
        boards = self.model.boards
        made = point[boards : boards + self.model.picks]
        top = np.zeros(boards)
        np.maximum.at(top, self.model.pick_board, made)
        openness = np.minimum(top, 1 - top)
        score = point[:boards] * (openness > 1e-6) + 1e-3 * openness
        free = (
            np.bincount(
                self.model.pick_board[upper[boards : boards + self.model.picks] > 0], minlength=boards
            )
            > 0
        )
        score[~free] = -1
        return int(np.argmax(score))


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
