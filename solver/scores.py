"""Games in which moves score: the difference still to come, worked out from the last moves back to the first.

Such a game cannot repeat, so its positions can be put in rounds in which every move leads onward
(`solver.counts.rounds`).  The rounds are gone through backwards: whatever a move leads to is known by then.
"""

import numpy as np
import numpy.typing as npt

from games.codes import FIRST, Bytes, Indices
from games.game import Gains, ScoreGame, scored
from solver.counts import rounds
from solver.graph import Graph, reach

Differences = npt.NDArray[np.int16]
"""What is still to come in each position, the first player's gains minus the second's, shape (n,)."""


def differences(graph: Graph) -> Differences:
    """The difference to come when both players play their best; 0 in final positions, and where no move is followed.

    Raises ValueError if the graph is not that of a score game, or play in it can be endless.
    """
    return work_back(graph, graph.mover)


def sure_differences(graph: Graph, chooser: int) -> Differences:
    """The difference to come when one player (FIRST or SECOND) chooses every move: what the other is sure of."""
    return work_back(graph, np.full(len(graph), chooser, dtype=np.uint8))


def work_back(graph: Graph, chooser: Bytes) -> Differences:
    """The difference to come in every position, given who chooses the move in each: (n,) FIRST or SECOND."""
    order = rounds(graph)
    if order is None:
        raise ValueError("play can be endless, so there is no difference to come")
    gains = gains_of(graph)
    sign = np.where(chooser == FIRST, 1, -1).astype(np.int16)
    difference = np.zeros(len(graph), dtype=np.int16)
    for places in reversed(order):
        open_ = places[graph.first_edge[places + 1] > graph.first_edge[places]]
        difference[open_] = _best(graph, open_, gains, sign, difference)
    return difference


def gains_of(graph: Graph) -> Gains:
    """What each move of a graph brings at once, (m,).  Raises ValueError if its game is no score game."""
    game: ScoreGame | None = scored(graph.game)
    if game is None:
        raise ValueError(f"{graph.game.name} is no game in which moves score")
    return game.gains(graph.codes[graph.parent], graph.move)


def _best(
    graph: Graph, places: Indices, gains: Gains, sign: Differences, difference: Differences
) -> Differences:
    """The best that the choosers of some positions can do, the differences after their moves being known.

    places: (k,) positions with a move each at least.  Gains are at most 127 a move and a line has fewer than
    64 of them in a game that fits a code, so 16 bits hold every sum.
    """
    edges = reach(places, graph.first_edge)
    begins = np.searchsorted(graph.parent[edges], places) if len(places) else edges
    promised = (gains[edges] + difference[graph.child[edges]]) * sign[graph.parent[edges]]
    if not len(edges):
        return promised
    best: Differences = np.maximum.reduceat(promised, begins) * sign[places]
    return best
