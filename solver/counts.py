"""Counts of a graph of positions and moves: its longest line, and its lines of play by result."""

import numpy as np

from games.codes import DRAW, FIRST_WINS, RESULTS, SECOND_WINS, UNFINISHED, Codes, Indices, distinct
from games.game import Game, least_images
from solver.graph import Graph, reach

_SAFE = float(1 << 62)


def one_of_each(game: Game, codes: Codes) -> Codes:
    """The positions up to symmetry: the least images, each once, sorted."""
    return distinct(least_images(game, codes)[0])


def rounds(graph: Graph) -> list[Indices] | None:
    """The positions in an order in which every move leads onward: round r holds those whose longest line has r plies.

    None where play can be endless.
    """
    waiting = np.bincount(graph.child, minlength=len(graph))
    if waiting[graph.start]:  # a way back to the start is a loop
        return None
    ready = np.array([graph.start], dtype=np.intp)
    order = []
    while len(ready):
        order.append(ready)
        children = graph.child[reach(ready, graph.first_edge)]
        np.subtract.at(waiting, children, 1)
        ready = distinct(children[waiting[children] == 0])
    return order if sum(len(part) for part in order) == len(graph) else None


def longest_line(graph: Graph) -> int | None:
    """The plies of the longest line of play; None where play can be endless."""
    order = rounds(graph)
    return None if order is None else len(order) - 1


def lines_by_position(graph: Graph) -> np.ndarray | None:
    """How many ways of play lead from the start to each position (exact); None where play can be endless."""
    order = rounds(graph)
    if order is None:
        return None
    exact = _paths(graph, order, np.dtype(np.float64)).sum() < _SAFE
    return _paths(graph, order, np.dtype(np.int64 if exact else object))


def _paths(graph: Graph, order: list[Indices], dtype: np.dtype) -> np.ndarray:
    paths = np.zeros(len(graph), dtype=dtype)
    paths[graph.start] = 1
    for ready in order:
        edges = reach(ready, graph.first_edge)
        np.add.at(paths, graph.child[edges], paths[graph.parent[edges]])
    return paths


def lines_of_play(graph: Graph) -> dict[str, int] | None:
    """How many lines of play end in each result, and how many there are in all; None where play can be endless."""
    paths = lines_by_position(graph)
    if paths is None:
        return None
    ends = {
        RESULTS[result]: int(paths[graph.ending == result].sum())
        for result in (FIRST_WINS, SECOND_WINS, DRAW)
    }
    stuck = (graph.ending == UNFINISHED) & (np.diff(graph.first_edge) == 0)
    return {"all": sum(ends.values()) + int(paths[stuck].sum()), **ends}
