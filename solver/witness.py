"""Lines of play that show why a claim fails: the shortest, and among those the one with the least moves."""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from games.codes import Flags, Indices, distinct
from solver.graph import Graph, reach

Edges = Flags
"""(m,) which moves of a graph may be used."""


class Line(NamedTuple):
    """A line of play as numbers of moves (edges) of a graph; from `loop` on it goes round for ever, if that is set."""

    edges: tuple[int, ...]
    loop: int | None = None


def shortest_line(graph: Graph, targets: Indices, usable: Edges) -> Line | None:
    """The shortest line from the start to any of the targets; the least moves where several are as short."""
    left = _plies_to(graph, targets, usable)
    at = graph.start
    if left[at] < 0:
        return None
    edges = []
    while left[at] > 0:
        nearer = [
            edge for edge in graph.edges_of(at) if usable[edge] and left[graph.child[edge]] == left[at] - 1
        ]
        edges.append(nearer[0])
        at = int(graph.child[nearer[0]])
    return Line(tuple(edges))


def _plies_to(graph: Graph, targets: Indices, usable: Edges) -> Indices:
    """For each position the plies to the nearest target over usable moves; -1 where there is no way."""
    into, first_into = graph.edges_into()
    left = np.full(len(graph), -1, dtype=np.intp)
    left[targets] = 0
    frontier = distinct(targets)
    plies = 0
    while len(frontier):
        plies += 1
        edges = into[reach(frontier, first_into)]
        parents = distinct(graph.parent[edges[usable[edges]]])
        frontier = parents[left[parents] < 0]
        left[frontier] = plies
    return left


def follow(graph: Graph, edges: Sequence[int], choose: Callable[[int], int | None]) -> Line:
    """Go on from the end of a line by `choose` until it gives no move or a position comes again (a loop)."""
    taken = list(edges)
    at = int(graph.child[taken[-1]]) if taken else graph.start
    seen = {at: len(taken)}
    while (edge := choose(at)) is not None:
        taken.append(edge)
        at = int(graph.child[edge])
        if at in seen:
            return Line(tuple(taken), seen[at])
        seen[at] = len(taken)
    return Line(tuple(taken))
