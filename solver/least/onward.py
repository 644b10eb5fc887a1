"""What comes to the machine next from any position, past the visitor's moves and those that rules answer."""

import numpy as np

from games.codes import Flags, Indices, distinct
from solver.graph import Graph, reach, without
from solver.progress import Progress, Report, Stage

GATHERING = Stage("gathering what there is to choose")


class Onward:
    """Follows play in a graph from some places until it comes to states, in which the machine has a choice."""

    def __init__(self, graph: Graph, number: Indices, report: Report | None) -> None:
        """number: (n,) that of each position among the states, -1 for others; report: heard once a move."""
        self.graph = graph
        self.number = number
        self.report = report

    def states_after(self, places: Indices) -> tuple[Indices, Indices]:
        """For each place the states that come next, each once, sorted, and where each place's begin: (., n + 1)."""
        targets = distinct(places)
        follow, first = self._after_each(targets)
        which = np.searchsorted(targets, places)
        ends = np.concatenate([[0], np.cumsum(np.diff(first)[which])])
        return follow[reach(which, first)], ends.astype(np.intp)

    def _after_each(self, targets: Indices) -> tuple[Indices, Indices]:
        """The same for places that are sorted, each once.

        Pairs of a target and a place that is reached from there are kept as one number.
        """
        pairs = np.arange(len(targets)) * len(self.graph) + targets
        is_state = self._is_state(pairs)
        found, passed = [pairs[is_state]], pairs[~is_state]
        seen = passed
        while len(passed):
            self._tell(len(found))
            pairs = self._one_move_on(passed)
            is_state = self._is_state(pairs)
            found.append(pairs[is_state])
            passed = without(distinct(pairs[~is_state]), seen)
            seen = np.sort(np.concatenate([seen, passed]), kind="stable")
        by, at = np.divmod(distinct(np.concatenate(found)), len(self.graph))
        return self.number[at], np.searchsorted(by, np.arange(len(targets) + 1)).astype(np.intp)

    def _is_state(self, pairs: Indices) -> Flags:
        is_state: Flags = self.number[pairs % len(self.graph)] >= 0
        return is_state

    def _one_move_on(self, pairs: Indices) -> Indices:
        by, at = np.divmod(pairs, len(self.graph))
        first = self.graph.first_edge
        return np.repeat(by, first[at + 1] - first[at]) * len(self.graph) + self.graph.child[reach(at, first)]

    def _tell(self, moves: int) -> None:
        if self.report is not None:
            self.report(Progress(GATHERING, moves, 0, len(self.graph)))
