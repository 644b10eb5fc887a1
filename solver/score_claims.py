"""What the claims ask of a strategy in a game in which moves score, and the line that shows where it fails.

*Never loses* means that the machine never ends behind; *best value* that in every position met it is sure of the
difference that best play would still bring.  There is no quickest win here, so *quickest* asks for the same.
"""

from typing import NamedTuple

import numpy as np

from games.codes import FIRST, Flags, by_parent, distinct
from games.game import scored
from solver.claims import Failure, fair_line_first
from solver.scores import SolvedScores, gains_of, sure_differences
from solver.walk import Walk
from solver.witness import Line, follow


class Standing(NamedTuple):
    """How far the machine is ahead before each ply of a line, and at its end."""

    before: tuple[int, ...]
    end: int


class ScoreTruth:
    """The differences of a score game, laid beside the positions that a walk meets; seen by the machine.

    to_come: (n,) the difference still to come under best play; sure: (n,) what the machine is sure of;
    gains: (m,) what each move brings at once.
    """

    __slots__ = ("gains", "sign", "solved", "sure", "to_come", "walk")

    def __init__(self, walk: Walk, solved: SolvedScores) -> None:
        self.walk = walk
        self.sign = 1 if walk.game.seat == FIRST else -1
        self.solved = solved
        self.to_come = self.sign * self.solved.look_up(walk.graph.codes).astype(np.intp)
        self.sure = self.sign * sure_differences(walk.graph, walk.game.visitor).astype(np.intp)
        self.gains = self.sign * gains_of(walk.graph).astype(np.intp)

    @property
    def lost_from_start(self) -> bool:
        """Whether the machine ends behind under best play."""
        return bool(self.to_come[self.walk.graph.start] < 0)

    def failure(self, claim: str) -> Failure | None:
        """The line that shows that a claim fails; None if it holds as far as the strategy has answers."""
        return self._ends_behind() if claim == "never-loses" else self._gives_away()

    def _ends_behind(self) -> Failure | None:
        """The visitor's best line, if it leaves the machine behind."""
        if self.sure[self.walk.graph.start] >= 0:
            return None
        line = follow(self.walk.graph, (), self._worst_move)
        return Failure(line, self._first_losing_ply(line))

    def _first_losing_ply(self, line: Line) -> int | None:
        """The machine's first move after which even best play leaves it behind, when before it did not."""
        graph = self.walk.graph
        for ply, (edge, ahead) in enumerate(zip(line.edges, self.standing(line).before, strict=True)):
            could = ahead + self.to_come[graph.parent[edge]] >= 0
            can = ahead + self._after(edge) >= 0
            if self.walk.machine[graph.parent[edge]] and could and not can:
                return ply
        return None

    def _gives_away(self) -> Failure | None:
        """The nearest move that leaves less than best play would, with the visitor's best play behind it."""
        graph = self.walk.graph
        brings = self.gains + self.to_come[graph.child]
        bad: Flags = self.walk.machine[graph.parent] & (brings < self.to_come[graph.parent])
        stem = fair_line_first(self.walk, distinct(graph.parent[bad]))
        if stem is None:
            return None
        at = int(graph.child[stem.edges[-1]]) if stem.edges else graph.start
        edge = next(edge for edge in graph.edges_of(at) if bad[edge])
        return Failure(follow(graph, (*stem.edges, edge), self._worst_move), len(stem.edges))

    def _worst_move(self, place: int) -> int | None:
        """The move that leaves the machine sure of least."""
        graph = self.walk.graph
        edges = graph.edges_of(place)
        return min(edges, key=lambda edge: self.gains[edge] + self.sure[graph.child[edge]]) if edges else None

    def _after(self, edge: int) -> int:
        return int(self.gains[edge] + self.to_come[self.walk.graph.child[edge]])

    def standing(self, line: Line) -> Standing:
        """How far the machine is ahead along a line."""
        totals = np.cumsum([0, *(int(self.gains[edge]) for edge in line.edges)]).tolist()
        return Standing(tuple(totals[:-1]), totals[-1])

    def better_moves(self, claim: str, failure: Failure, place: int) -> tuple[int, ...]:
        """The moves in a position met, on the line of a failure, after which the claim can still hold."""
        game, code = self.walk.game, self.walk.graph.codes[place : place + 1]
        legal = by_parent(game.moves(code))
        scores = scored(game)
        assert scores is not None
        gains = scores.gains(code[legal.parent], legal.move).astype(np.intp)
        brings = self.sign * (gains + self.solved.look_up(legal.child))
        wanted = int(self.to_come[place])
        if claim == "never-loses" and failure.decision is not None:
            ahead = [*self.standing(failure.line).before, self.standing(failure.line).end][failure.decision]
            wanted = min(wanted, -ahead)
        return tuple(int(move) for move in legal.move[brings >= wanted])

    def outcome(self, line: Line) -> str:
        """What a line that breaks a claim comes to, in words."""
        ahead = self.standing(line).end
        if ahead < 0:
            return f"the visitor ends {-ahead} ahead"
        return f"the machine ends {ahead} ahead, and could do better" if ahead else "nobody ends ahead"
