"""The search for score weights: small whole numbers by which the cell with the highest score is the move of a play.

What must hold are inequalities between weights: on each board the move outweighs every free cell before it, and
weighs at least as much as every one after it.  That none obey them is proved in whole numbers; weights that do are
checked in whole numbers, and then HiGHS looks for smaller ones, with a limit of its own steps and not of time.
"""

from typing import NamedTuple

import highspy
import numpy as np

from solver.least.highs import silent
from solver.least.model import Whole
from solver.least.weights_linear import Relaxation, Rows

MOST_TIMES = 60
"""A point is made whole after it was taken so many times, at most."""
MOST_NODES = 200
"""How many nodes HiGHS may look at for smaller weights."""


class Refuted(Exception):
    """There are no weights, or none were found; the message says which."""


class Wanted(NamedTuple):
    """matrix (r, t) . weights >= at_least (r,); the first `cells` weights are those of cells, the others of lines."""

    matrix: Whole
    at_least: Whole
    cells: int

    def holds(self, weights: Whole) -> bool:
        """Whether weights (t,) obey."""
        return bool((self.matrix @ weights >= self.at_least).all())


def small_weights(wanted: Wanted, rises: Whole) -> Whole:
    """Weights (t,), none below 0, that obey.

    rises: (k, t) changes of all weights that change no inequality, each with -1 for the lines of one kind and with what
    makes up for that in the cells: by them weights are brought to 0 or above.
    Raises Refuted where there are none.
    """
    found = _some(wanted)
    for rise in rises:
        lowered = rise < 0
        found = found + rise * found[lowered].min(initial=0)
    found[: wanted.cells] -= int(found[: wanted.cells].min())
    smaller = _smaller(wanted, found)
    return found if smaller is None else smaller


def _some(wanted: Wanted) -> Whole:
    """Some weights that obey, of either sign."""
    terms = wanted.matrix.shape[1]
    relaxation = Relaxation(terms, None, None)
    nothing = np.zeros(terms, dtype=np.int64)
    relaxation.move_to(0, Rows(wanted.matrix, wanted.at_least), nothing, nothing)
    point = relaxation.point()
    if point is None:
        sure = relaxation.refuted()
        raise Refuted(
            "no weights give these moves" if sure else "no weights were found that give these moves"
        )
    for times in range(1, MOST_TIMES + 1):
        whole: Whole = np.rint(point * times).astype(np.int64)
        if wanted.holds(whole):
            return whole
    raise Refuted("no weights in small whole numbers were found that give these moves")


def _smaller(wanted: Wanted, found: Whole) -> Whole | None:
    """Weights whose largest, of cells and of lines, take the fewest fields times their size, and then the least sum.

    As far as HiGHS can tell; None if it finds none.  Two more variables are at least what cells, and lines, weigh.
    """
    terms, cells = wanted.matrix.shape[1], wanted.cells
    counts = (cells, terms - cells)
    cost = counts[0] * int(found[:cells].max()) + counts[1] * int(found[cells:].max(initial=0))
    highs = silent()
    dear = float(found.sum() + 1)
    for term in range(terms + 2):
        is_line = term >= cells if term < terms else term > terms
        count = max(1, counts[is_line])
        highs.addVar(0.0, float(cost // count))
        highs.changeColCost(term, dear * count if term >= terms else 1.0)
    tops = np.zeros((terms, terms + 2), dtype=np.int64)
    tops[np.arange(terms), np.arange(terms)] = -1
    tops[np.arange(terms), np.where(np.arange(terms) < cells, terms, terms + 1)] = 1
    rows = np.vstack([np.pad(wanted.matrix, ((0, 0), (0, 2))), tops])
    least = np.concatenate([wanted.at_least, np.zeros(terms, dtype=np.int64)])
    row, column = np.nonzero(rows)
    starts = np.searchsorted(row, np.arange(len(rows))).astype(np.int32)
    highs.addRows(
        len(rows),
        least.astype(np.float64),
        np.full(len(rows), highspy.kHighsInf),
        len(column),
        starts,
        column.astype(np.int32),
        rows[row, column].astype(np.float64),
    )
    every = np.arange(terms + 2, dtype=np.int32)
    kinds = np.full(terms + 2, highspy.HighsVarType.kInteger)
    highs.changeColsIntegrality(terms + 2, every, kinds)
    highs.setOptionValue("mip_rel_gap", 0.0)
    highs.setOptionValue("mip_max_nodes", MOST_NODES)
    highs.run()
    if highs.getInfo().primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return None
    whole: Whole = np.rint(np.array(highs.getSolution().col_value)[:terms]).astype(np.int64)
    return whole if wanted.holds(whole) and (whole >= 0).all() else None
