"""Grundy values: what a position is worth among games in which both players may do the same.

A position is worth the least number that none of its moves leads to (mex), and a sum of games the exclusive
or of their values; where the last move wins, whose turn it is loses exactly at 0.  Sources: R. P. Sprague,
Tohoku Mathematical Journal 41, 1935; P. M. Grundy, Eureka 2, 1939.  None of it holds for misere play, where
the last move loses.
"""

import numpy as np
import numpy.typing as npt

from games.codes import Indices
from games.take.octal import NOTHING, ONE_ROW, TWO_ROWS, Octal
from games.take.taking import Sizes
from solver.counts import rounds
from solver.graph import Graph, reach

Grundy = npt.NDArray[np.intp]
"""Grundy values, shape (n,)."""


def mex(owners: Indices, values: Grundy, count: int) -> Grundy:
    """For each owner from 0 to count - 1 the least number, from 0, that is not among its values.

    owners, values: (m,) pairs in any order, values not negative.  Sorted and each taken once, an owner's
    values are 0, 1, 2, ... up to the first that is missing, and above their place from there on.
    """
    order = np.lexsort((values, owners))
    owners, values = owners[order], values[order]
    is_new = np.ones(len(owners), dtype=bool)
    is_new[1:] = (owners[1:] != owners[:-1]) | (values[1:] != values[:-1])
    owners, values = owners[is_new], values[is_new]
    place = np.arange(len(owners)) - np.searchsorted(owners, owners)
    least: Grundy = np.bincount(owners[values == place], minlength=count)
    return least


def of_rows(octal: Octal, longest: int) -> Grundy:
    """The values of single rows (or heaps) of 0 to `longest`: (longest + 1,)."""
    values = np.zeros(longest + 1, dtype=np.intp)
    for row in range(1, longest + 1):
        left = [
            _left_values(values, row - taken, digit)
            for taken, digit in enumerate(octal.within(row).digits, 1)
        ]
        reached = np.concatenate([values[:0], *left])
        values[row] = mex(np.zeros(len(reached), dtype=np.intp), reached, 1)[0]
    return values


def _left_values(values: Grundy, rest: int, digit: int) -> Grundy:
    """The values of all that may be left of a row when `rest` of it are: nothing, one row, or two."""
    if rest == 0:
        return values[: digit & NOTHING]
    one = values[rest : rest + 1] if digit & ONE_ROW else values[:0]
    shorter = np.arange(1, rest // 2 + 1) if digit & TWO_ROWS else np.arange(0)
    return np.concatenate([one, values[shorter] ^ values[rest - shorter]])


def of_sums(sizes: Sizes, of_size: Grundy) -> Grundy:
    """The values of positions that fall into heaps or rows of these sizes: (n, p) gives (n,)."""
    value: Grundy = np.bitwise_xor.reduce(of_size[sizes], axis=1)
    return value


def of_positions(graph: Graph) -> Grundy:
    """The value of every position of a graph, found from the moves alone.

    Raises ValueError where play can be endless: then there need not be any.
    """
    order = rounds(graph)
    if order is None:
        raise ValueError("positions that can come back have no Grundy values of their own")
    values = np.zeros(len(graph), dtype=np.intp)
    for places in reversed(order):  # every move leads to a later round
        edges = reach(places, graph.first_edge)
        owners = np.searchsorted(places, graph.parent[edges])
        values[places] = mex(owners, values[graph.child[edges]], len(places))
    return values
