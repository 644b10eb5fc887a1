"""Some inequalities between weights: a point that obeys them, or a refutation checked in whole numbers.

HiGHS looks for the point in floating point, the one with the least sum of absolute weights.  Where it says that there
is none it offers a multiplier for each inequality; these are made whole numbers, y, and refute the inequalities
R . x >= r for certain if

    the greatest that (y . R) . x can be within the bounds of x   <   y . r.

So nothing is ever refuted on the word of floating point.  (Farkas' lemma; common practice in exact linear programming.)
"""

from typing import NamedTuple

import highspy
import numpy as np

from solver.least.highs import silent
from solver.least.model import Whole

SCALE = 1 << 20
"""Multipliers are tried as whole multiples of 1 / SCALE of the greatest."""
MOST_MULTIPLE = 60
"""And as so many times the least, rounded: multipliers are mostly fractions with small denominators."""


class Rows(NamedTuple):
    """Inequalities: matrix (r, t) . weights >= at_least (r,), in whole numbers."""

    matrix: Whole
    at_least: Whole


class Relaxation:
    """Weights (t,) within bounds, with inequalities that come and go, the last to come going first.

    most: no absolute weight is greater; None for no limit at all.  total: no sum of absolute weights is greater.
    A second half of the variables, one for each weight, is at least the absolute weight.
    """

    def __init__(self, terms: int, most: int | None, total: int | None) -> None:
        self._terms = terms
        self._limited = most is not None
        self._highs = silent()
        self._highs.setOptionValue("presolve", "off")  # else there are no multipliers
        limit = highspy.kHighsInf if most is None else most
        for column in range(2 * terms):
            self._highs.addVar(-limit if column < terms else 0.0, limit)
            self._highs.changeColCost(column, float(column >= terms))
        self._matrix = np.zeros((0, 2 * terms), dtype=np.int64)
        self._at_least = np.zeros(0, dtype=np.int64)
        self._lower = self._upper = np.zeros(2 * terms, dtype=np.int64)
        one = np.eye(terms, dtype=np.int64)
        self._add(np.block([[-one, one], [one, one]]), np.zeros(2 * terms, dtype=np.int64))
        if total is not None:
            spent = np.repeat([0, -1], terms).astype(np.int64)
            self._add(spent[np.newaxis], np.array([-total]))
        self._base = len(self._at_least)

    def move_to(self, kept: int, rows: Rows, lower: Whole, upper: Whole) -> int:
        """Keep the first so many inequalities, add some, and set the bounds (t,); how many there are now."""
        count = len(self._at_least) - self._base - kept
        if count:
            self._highs.deleteRows(
                count, np.arange(self._base + kept, self._base + kept + count, dtype=np.int32)
            )
            self._matrix = self._matrix[: self._base + kept]
            self._at_least = self._at_least[: self._base + kept]
        if len(rows.at_least):
            self._add(np.hstack([rows.matrix, np.zeros_like(rows.matrix)]), rows.at_least)
        if self._limited:
            self._set_bounds(lower, upper)
        return len(self._at_least) - self._base

    def _set_bounds(self, lower: Whole, upper: Whole) -> None:
        farthest = np.maximum(np.abs(lower), np.abs(upper))
        self._lower = np.concatenate([lower, np.zeros_like(lower)])
        self._upper = np.concatenate([upper, farthest])
        columns = np.arange(2 * self._terms, dtype=np.int32)
        self._highs.changeColsBounds(
            len(columns), columns, self._lower.astype(np.float64), self._upper.astype(np.float64)
        )

    def _add(self, matrix: Whole, at_least: Whole) -> None:
        row, column = np.nonzero(matrix)
        starts = np.searchsorted(row, np.arange(len(matrix))).astype(np.int32)
        self._highs.addRows(
            len(matrix),
            at_least.astype(np.float64),
            np.full(len(matrix), highspy.kHighsInf),
            len(column),
            starts,
            column.astype(np.int32),
            matrix[row, column].astype(np.float64),
        )
        self._matrix = np.concatenate([self._matrix, matrix])
        self._at_least = np.concatenate([self._at_least, at_least])

    def point(self) -> np.ndarray | None:
        """Weights (t,) that obey everything as far as floating point can tell, or None if it says there are none."""
        self._highs.run()
        if self._highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
            return None
        return np.array(self._highs.getSolution().col_value)[: self._terms]

    def refuted(self) -> bool:
        """Whether the multipliers that HiGHS offers refute the inequalities in whole numbers."""
        _, offered, ray = self._highs.getDualRay()  # type: ignore[attr-defined]
        if not offered:
            return False
        multipliers = np.abs(np.array(ray))
        if not multipliers.any():
            return False
        if self._refute(np.rint(multipliers / multipliers.max() * SCALE)):
            return True
        least = multipliers[multipliers > multipliers.max() * 1e-9].min()
        return any(
            self._refute(np.rint(multipliers / least * times)) for times in range(1, MOST_MULTIPLE + 1)
        )

    def _refute(self, multipliers: np.ndarray) -> bool:
        """All in 64-bit whole numbers: SCALE x weights below 10,000 x counts below 100 x rows below 10,000."""
        whole = multipliers.astype(np.int64)
        used = np.flatnonzero(whole)
        sums = whole[used] @ self._matrix[used]
        if self._limited:
            greatest = np.maximum(sums * self._lower, sums * self._upper).sum()
        elif sums[: self._terms].any() or (sums[self._terms :] > 0).any():
            return False
        else:
            greatest = 0
        return bool(greatest < whole[used] @ self._at_least[used])
