"""What each claim asks of a walked strategy, and the line that shows where it fails.

All three are decided by what single machine moves give away, save one: a strategy that gives nothing away
and yet never comes to the end of a won game, which only its loops show.
"""

from typing import NamedTuple

import numpy as np

from games.codes import DRAW, UNFINISHED, Bytes, Flags, Indices, by_parent, distinct, win_of
from games.repetition import repetition_limit
from solver.graph import Graph
from solver.solved import Solved
from solver.values import sure_results
from solver.walk import Walk
from solver.witness import Line, follow, shortest_line


class Failure(NamedTuple):
    """A line that shows that a claim fails, and which of its plies (from 0) is the first losing decision.

    `decision` is None where no decision is to blame: the seat is lost from the start.
    """

    line: Line
    decision: int | None

    @property
    def is_endless(self) -> bool:
        """Whether nothing is given away and the win yet never comes: the decision is in the loop itself."""
        return self.line.loop is not None and self.decision is not None and self.decision >= self.line.loop


class Truth:
    """The values of the game with its house rules, laid beside the positions that a walk meets.

    worth: (n,) what the walk's positions are worth to the machine: 2 win, 1 draw, 0 loss;
    distance: (n,) plies to the end under best play, -1 for draws.
    """

    __slots__ = ("distance", "solved", "walk", "worth")

    def __init__(self, walk: Walk, solved: Solved) -> None:
        self.walk = walk
        self.solved = solved
        values = self.solved.look_up(walk.graph.codes)
        self.worth = worth(values.value, walk.game.seat)
        self.distance = values.distance

    @property
    def lost_from_start(self) -> bool:
        """Whether the machine's seat is lost under best play."""
        return int(self.worth[self.walk.graph.start]) == 0

    def failure(self, claim: str) -> Failure | None:
        """The line that shows that a claim fails; None if it holds as far as the strategy has answers."""
        return CLAIM_CHECKS[claim](self.walk, self)

    def better_moves(self, claim: str, failure: Failure, place: int) -> tuple[int, ...]:
        """The moves in a position met after which the claim can still hold."""
        code = self.walk.graph.codes[place : place + 1]
        legal = by_parent(self.walk.game.moves(code))
        here, after = self.solved.look_up(code), self.solved.look_up(legal.child)
        held, kept = worth(here.value, self.walk.game.seat)[0], worth(after.value, self.walk.game.seat)
        better = kept >= (np.minimum(held, 1) if claim == "never-loses" else held)
        if held == 2 and (
            claim == "quickest" or failure.is_endless
        ):  # a won position must come nearer to its end
            better &= after.distance == here.distance[0] - 1
        return tuple(int(move) for move in legal.move[better])

    def outcome(self, line: Line) -> str:
        """What a line that breaks a claim comes to, in words."""
        graph = self.walk.graph
        end = int(graph.ending[graph.child[line.edges[-1]]]) if line.edges else UNFINISHED
        if end == win_of(self.walk.game.visitor):
            return "the visitor wins"
        if line.loop is not None and repetition_limit(self.walk.game) is not None:
            return "the machine goes round to a draw"
        return "the machine " + {DRAW: "only draws", UNFINISHED: "never ends"}.get(end, "wins too late")


def worth(value: Bytes, seat: int) -> Indices:
    """What values are worth to the machine: 2 for a win, 1 for a draw, 0 for a loss."""
    return np.where(value == win_of(seat), 2, np.where(value == DRAW, 1, 0))


def never_loses(walk: Walk, truth: Truth) -> Failure | None:
    """The shortest fair line that ends in a loss, else the shortest with wrong input; None if there is none."""
    graph = walk.graph
    lost = np.nonzero(graph.ending == win_of(walk.game.visitor))[0]
    line = fair_line_first(walk, lost)
    if line is None:
        return None
    return Failure(line, _first_edge(line, _loses(walk, truth)))


def best_value(walk: Walk, truth: Truth) -> Failure | None:
    """Where the machine gives value away, or stays for ever in won positions."""
    return _local_failure(walk, _gives_away(walk, truth)) or _endless_failure(walk, truth)


def quickest(walk: Walk, truth: Truth) -> Failure | None:
    """Where the machine gives value away, or does not come nearer to a win that it has."""
    return _local_failure(walk, _gives_away(walk, truth) | _dawdles(walk, truth))


CLAIM_CHECKS = {"never-loses": never_loses, "best-value": best_value, "quickest": quickest}


def fair_line_first(walk: Walk, targets: Indices) -> Line | None:
    """The shortest line to any target without wrong input, else the shortest of all."""
    fair = walk.graph.move < walk.game.fair_moves
    return shortest_line(walk.graph, targets, fair) or shortest_line(walk.graph, targets, np.ones_like(fair))


def _by_machine(walk: Walk) -> Flags:
    return walk.machine[walk.graph.parent]


def _loses(walk: Walk, truth: Truth) -> Flags:
    """The machine's moves (m,) after which a position is lost that was not; a win let go for a draw is none."""
    lost: Flags = _gives_away(walk, truth) & (truth.worth[walk.graph.child] == 0)
    return lost


def _gives_away(walk: Walk, truth: Truth) -> Flags:
    """The machine's moves (m,) after which it has less than before."""
    graph = walk.graph
    return _by_machine(walk) & (truth.worth[graph.child] < truth.worth[graph.parent])


def _dawdles(walk: Walk, truth: Truth) -> Flags:
    """The machine's moves (m,) in won positions that do not bring the win nearer by one ply."""
    graph = walk.graph
    won = (truth.worth[graph.parent] == 2) & (truth.worth[graph.child] == 2)
    late: Flags = truth.distance[graph.child] != truth.distance[graph.parent] - 1
    dawdles: Flags = _by_machine(walk) & won & late
    return dawdles


def _first_edge(line: Line, which: Flags) -> int | None:
    return next((ply for ply, edge in enumerate(line.edges) if which[edge]), None)


def _local_failure(walk: Walk, bad: Flags) -> Failure | None:
    """The nearest bad move, with the visitor's best play behind it."""
    graph = walk.graph
    stem = fair_line_first(walk, distinct(graph.parent[bad]))
    if stem is None:
        return None
    at = int(graph.child[stem.edges[-1]]) if stem.edges else graph.start
    edge = next(edge for edge in graph.edges_of(at) if bad[edge])
    line = follow(graph, (*stem.edges, edge), _VisitorsBest(walk))
    return Failure(line, len(stem.edges))


class _VisitorsBest:
    """Chooses the move that is worst for the machine among those that the walk leaves open."""

    def __init__(self, walk: Walk) -> None:
        self.graph = walk.graph
        sure = sure_results(walk.graph, walk.game.visitor)
        self.worth = worth(sure.value, walk.game.seat)
        self.distance = sure.distance

    def __call__(self, place: int) -> int | None:
        edges = self.graph.edges_of(place)
        return min(edges, key=self._rank) if edges else None

    def _rank(self, edge: int) -> tuple[int, int]:
        child = self.graph.child[edge]
        won = self.worth[child] == 2
        return int(self.worth[child]), int(-self.distance[child] if won else self.distance[child])


def _endless_failure(walk: Walk, truth: Truth) -> Failure | None:
    """A stem and a loop through won positions in which the machine is never sure of its win."""
    graph = walk.graph
    sure = worth(sure_results(graph, walk.game.visitor).value, walk.game.seat)
    stuck = _staying_for_ever(graph, (truth.worth == 2) & (sure < 2) & (graph.ending == UNFINISHED))
    stem = fair_line_first(walk, np.nonzero(stuck)[0])
    if stem is None:
        return None

    def stay(place: int) -> int:
        return next(edge for edge in graph.edges_of(place) if stuck[graph.child[edge]])

    line = follow(graph, stem.edges, stay)
    late = _dawdles(walk, truth)
    return Failure(line, next(ply for ply in range(line.loop or 0, len(line.edges)) if late[line.edges[ply]]))


def _staying_for_ever(graph: Graph, within: Flags) -> Flags:
    """Of a set of positions (n,) those from which play can stay in it for ever.

    Positions from which no move stays in the set are dropped again and again; a line that breaks off for want
    of an answer so drops out of itself.
    """
    while True:
        inside = within[graph.parent] & within[graph.child]
        going_on = np.zeros_like(within)
        going_on[graph.parent[inside]] = True
        if np.array_equal(going_on, within):
            return within
        within = going_on
