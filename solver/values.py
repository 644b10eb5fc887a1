"""Values and distances by working back from the endings (retrograde analysis).

The winner plays for the fewest plies and the loser for the most; play that never ends is a draw, and a draw
has no distance.  Work goes outward from the endings one ply at a time: a position is won as soon as its
chooser can reach a won one, and lost once every move of it leads to lost ones, which is found by counting
down its moves.  So distances come out in order, and loops need no care of their own.
"""

import numpy as np

from games.codes import DRAW, FIRST, PLAYERS, SECOND, UNFINISHED, Bytes, Indices, distinct, win_of
from solver.graph import Graph, reach

NO_DISTANCE = -1


class Values:
    """For each position of a graph its value and its distance.

    value: (n,) FIRST_WINS, SECOND_WINS or DRAW; distance: (n,) plies to the end, -1 for draws.
    """

    __slots__ = ("distance", "value")

    def __init__(self, value: Bytes, distance: Indices) -> None:
        self.value = value
        self.distance = distance


def best_play(graph: Graph) -> Values:
    """The values when both players choose for themselves."""
    return work_back(graph, graph.mover)


def sure_results(graph: Graph, chooser: int) -> Values:
    """The values when one player chooses every move, also the other's: what the other is sure of."""
    return work_back(graph, np.full(len(graph), chooser, dtype=np.uint8))


def work_back(graph: Graph, chooser: Bytes) -> Values:
    """Values and distances of every position, given who chooses the move in each: (n,) FIRST or SECOND."""
    into, first_into = graph.edges_into()
    moves_left = np.diff(graph.first_edge)
    value = np.where(graph.ending == UNFINISHED, 0, graph.ending).astype(np.uint8)
    distance = np.where(graph.ending == UNFINISHED, NO_DISTANCE, 0).astype(np.intp)
    distance[graph.ending == DRAW] = NO_DISTANCE
    frontiers = [np.nonzero(graph.ending == win_of(player))[0] for player in (FIRST, SECOND)]
    plies = 0
    while any(len(frontier) for frontier in frontiers):
        plies += 1
        parents = [graph.parent[into[reach(frontier, first_into)]] for frontier in frontiers]
        frontiers = [
            _newly_won(player, parents[player], chooser, moves_left, value) for player in range(len(PLAYERS))
        ]
        for player, won in enumerate(frontiers):
            value[won] = win_of(player)
            distance[won] = plies
    value[value == UNFINISHED] = DRAW
    return Values(value, distance)


def _newly_won(player: int, parents: Indices, chooser: Bytes, moves_left: Indices, value: Bytes) -> Indices:
    """The undecided positions that are now won for `player`, who has just won children of `parents`.

    Invariant: `moves_left` counts the moves that do not yet lead to a loss for the position's chooser.
    """
    by_choice = parents[chooser[parents] == player]
    forced = parents[chooser[parents] != player]
    np.subtract.at(moves_left, forced, 1)
    candidates = np.concatenate([by_choice, forced[moves_left[forced] == 0]])
    return distinct(candidates[value[candidates] == UNFINISHED])
