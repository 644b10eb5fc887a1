"""A few games that have everything between them that is asked for.

A game is a line of play that reaches each position in as few plies as can be.  The games are picked greedily: always
the one that has most of what is left, and among those one with fewest plies; then those go that the others make
unnecessary.  So there may be a set with fewer games; none is left out that this set needs.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np

from games.codes import UNFINISHED, Indices
from solver.graph import Graph

Item = tuple[str, int, int]
"""Something that a position tries, as whoever asks for it calls it."""
Game = tuple[int, ...]
"""A line of play by the places of its positions."""


def covering(graph: Graph, seat: int, items: Sequence[set[Item]]) -> list[Game]:
    """Lines of play that have every item between them, in the order in which they were found; seat: the machine's."""
    lines = _Lines(graph, seat)
    left: set[Item] = set().union(*items)
    games: list[Game] = []
    while left:
        game = lines.best(np.array([len(each & left) for each in items], dtype=np.int64))
        left -= set().union(*(items[place] for place in game))
        games.append(game)
    return _needed(games, items)


def _needed(games: Sequence[Game], items: Sequence[set[Item]]) -> list[Game]:
    """The games without those that try nothing which the others do not; the latest are asked first."""
    tried = [set().union(*(items[place] for place in game)) for game in games]
    kept = list(range(len(games)))
    for number in reversed(range(len(games))):
        others: set[Item] = set().union(*(tried[other] for other in kept if other != number))
        if tried[number] <= others:
            kept.remove(number)
    return [games[number] for number in kept]


class _Lines:
    """Lines of play in which each move leads one ply further from the start than any position before it."""

    def __init__(self, graph: Graph, seat: int) -> None:
        self._graph = graph
        self._seat = seat
        ply = np.asarray(graph.ply)
        forward = np.flatnonzero(ply[graph.child] == ply[graph.parent] + 1)
        order = forward[np.argsort(-ply[graph.parent[forward]], kind="stable")]
        bounds = np.flatnonzero(np.diff(ply[graph.parent[order]])) + 1
        self._by_ply: list[Indices] = [part for part in np.split(order, bounds) if len(part)]
        self._plies = int(ply.max()) + 2
        self._to_end = _plies_to_end(graph)

    def best(self, gains: np.ndarray[Any, np.dtype[np.int64]]) -> Game:
        """The line that gains most, and of those one of the shortest; it goes on to the nearest end if there is one."""
        graph = self._graph
        worth = gains * self._plies - 1
        follow = np.full(len(graph), -1, dtype=np.intp)
        for edges in self._by_ply:  # the last plies first
            parents, children = graph.parent[edges], graph.child[edges]
            most = np.full(len(graph), -1, dtype=np.int64)
            np.maximum.at(most, parents, worth[children])
            chosen = edges[worth[children] == most[parents]][::-1]
            follow[graph.parent[chosen]] = graph.child[chosen]  # of equals the first
            worth[np.unique(parents)] += np.maximum(most, 0)[np.unique(parents)]
        line = [graph.start]
        while follow[line[-1]] >= 0 and worth[follow[line[-1]]] > 0:
            line.append(int(follow[line[-1]]))
        return (*line, *self._end_from(line[-1]))

    def _end_from(self, place: int) -> list[int]:
        """The positions after one on a shortest way to an end; to the visitor's turn, if none leads there."""
        graph, steps = self._graph, []
        while graph.ending[place] == UNFINISHED:
            edges = graph.edges_of(place)
            is_lost = self._to_end[place] < 0
            if is_lost and graph.mover[place] != self._seat:
                break
            children = graph.child[edges.start : edges.stop].tolist()
            place = children[0] if is_lost else min(children, key=self._after)
            steps.append(place)
        return steps

    def _after(self, place: int) -> float:
        to_end = int(self._to_end[place])
        return float("inf") if to_end < 0 else to_end


def _plies_to_end(graph: Graph) -> Indices:
    """For each position how many plies the shortest way to an end takes; -1 where there is none."""
    plies = np.where(graph.ending != UNFINISHED, 0, -1).astype(np.intp)
    reached, ply = plies == 0, 0
    while reached.any():
        ply += 1
        parents = np.unique(graph.parent[reached[graph.child]])
        parents = parents[plies[parents] < 0]
        plies[parents] = ply
        reached = np.zeros(len(graph), dtype=np.bool_)
        reached[parents] = True
    return plies
