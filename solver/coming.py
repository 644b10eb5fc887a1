"""Which positions can come again: those on some way round."""

import numpy as np

from games.codes import Flags, Indices, distinct
from solver.graph import Graph, reach


def coming_again(graph: Graph) -> Flags:
    """Whether play can lead from each position back to it, (n,).

    Positions that lead back to each other are sought together.  Round after round every position that is left learns
    the greatest number of a position that leads to it.  Who learns its own number leads a set: those that have learnt
    it too and lead back to it.  A set is done with, and so is what no longer has a way in or out.
    """
    ways = _Ways(graph)
    again = np.zeros(len(graph), dtype=bool)
    again[graph.parent[graph.parent == graph.child]] = True
    left = ways.trimmed(np.ones(len(graph), dtype=bool))
    while left.any():
        greatest = ways.greatest_before(left)
        leads = left & (greatest == np.arange(len(graph)))
        together = ways.leading_to(leads, greatest, left)
        members = np.bincount(greatest[together], minlength=len(graph))
        again |= together & (members[greatest] > 1)
        left = ways.trimmed(left & ~together)
    return again


class _Ways:
    """The moves of a graph, to be followed there and back among some of its positions."""

    def __init__(self, graph: Graph) -> None:
        self._graph = graph
        self._into, self._first_into = graph.edges_into()

    def trimmed(self, left: Flags) -> Flags:
        """Those of some positions that still have a way in and a way out among them, a way to itself not counted."""
        graph, left = self._graph, left.copy()
        used = left[graph.parent] & left[graph.child] & (graph.parent != graph.child)
        ways_in = np.bincount(graph.child[used], minlength=len(graph))
        ways_out = np.bincount(graph.parent[used], minlength=len(graph))
        gone = np.nonzero(left & ((ways_in == 0) | (ways_out == 0)))[0]
        while len(gone):
            left[gone] = False
            onward = self._other_ends(graph.child[reach(gone, graph.first_edge)], left)
            back = self._other_ends(graph.parent[self._into[reach(gone, self._first_into)]], left)
            np.subtract.at(ways_in, onward, 1)
            np.subtract.at(ways_out, back, 1)
            touched = distinct(np.concatenate([onward, back]))
            gone = touched[(ways_in[touched] == 0) | (ways_out[touched] == 0)]
        return left

    @staticmethod
    def _other_ends(ends: Indices, left: Flags) -> Indices:
        return ends[left[ends]]

    def greatest_before(self, left: Flags) -> Indices:
        """For each of some positions the greatest of them that leads to it, itself among them."""
        graph = self._graph
        greatest = np.where(left, np.arange(len(graph)), -1)
        frontier = np.nonzero(left)[0]
        while len(frontier):
            edges = reach(frontier, graph.first_edge)
            edges = edges[left[graph.child[edges]]]
            parents, children = graph.parent[edges], graph.child[edges]
            news = greatest[parents] > greatest[children]
            np.maximum.at(greatest, children[news], greatest[parents[news]])
            frontier = distinct(children[news])
        return greatest

    def leading_to(self, leads: Flags, greatest: Indices, left: Flags) -> Flags:
        """The positions from which a way through positions that have learnt the same number ends at a lead."""
        graph, found = self._graph, leads.copy()
        frontier = np.nonzero(leads)[0]
        while len(frontier):
            edges = self._into[reach(frontier, self._first_into)]
            parents, children = graph.parent[edges], graph.child[edges]
            new = left[parents] & ~found[parents] & (greatest[parents] == greatest[children])
            frontier = distinct(parents[new])
            found[frontier] = True
        return found
