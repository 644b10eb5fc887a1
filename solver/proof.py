"""`prove`: go through every line of play and prove a claim about a strategy, or show a line that refutes it."""

from typing import TYPE_CHECKING, NamedTuple, cast

import numpy as np

from games.codes import FIRST, RESULTS, win_of
from games.game import Game, scored
from games.house import HouseRules
from games.housed import HousedGame
from solver.claims import Failure, Truth, fair_line_first
from solver.counts import longest_line
from solver.engines import solve_any, solve_game
from solver.progress import Report
from solver.said import never_said
from solver.solved import Solved, start_values
from solver.strategy import Strategy
from solver.walk import Walk, walk

if TYPE_CHECKING:
    from solver.score_claims import ScoreTruth
    from solver.scores import SolvedScores

PROVED, REFUTED, NO_ANSWER, ILLEGAL_ANSWER = "proved", "refuted", "no-answer", "illegal-answer"


class Known(NamedTuple):
    """What who proves many strategies knows beforehand: where this one leads, and the values of its game."""

    walk: Walk
    solved: "Solved | SolvedScores"


class Proof:
    """A verdict on a claim about a strategy in one seat, with its witness.

    verdict: PROVED, REFUTED, NO_ANSWER or ILLEGAL_ANSWER.  failure: the line that shows why, None when proved.
    truth: the values of the whole game, worked out only where they are needed to name a decision.
    known: what need not be worked out any more.
    """

    __slots__ = ("_report", "_solved", "_truth", "claim", "failure", "house", "verdict", "walk")

    def __init__(
        self,
        strategy: Strategy,
        claim: str,
        house: HouseRules,
        report: Report | None = None,
        known: Known | None = None,
    ) -> None:
        self.claim = claim
        self.house = house
        self.walk: Walk = (
            known.walk if known else walk(HousedGame(strategy.game, house, strategy.seat), strategy, report)
        )
        self._solved = known.solved if known else None
        self._report = report
        self._truth: Truth | ScoreTruth | None = None
        self.verdict, self.failure = self._judge()

    @property
    def truth(self) -> "Truth | ScoreTruth":
        """The values of the whole game with its house rules."""
        if self._truth is None:
            solved = self._solved or solve_any(self.walk.game, report=self._report)
            if scored(self.walk.game) is None:
                self._truth = Truth(self.walk, cast("Solved", solved))
            else:
                from solver.score_claims import ScoreTruth  # few games need it

                self._truth = ScoreTruth(self.walk, cast("SolvedScores", solved))
        return self._truth

    def _judge(self) -> tuple[str, Failure | None]:
        """A line that breaks the claim weighs most, then an illegal answer, then none at all."""
        if self.claim != "never-loses" or self._can_lose():
            failure = self.truth.failure(self.claim)
            if failure is not None:
                return REFUTED, failure
        illegal = np.array([place for place, _ in self.walk.illegal], dtype=np.intp)
        for verdict, places in ((ILLEGAL_ANSWER, illegal), (NO_ANSWER, self.walk.unanswered)):
            line = fair_line_first(self.walk, places) if len(places) else None
            if line is not None:
                return verdict, Failure(line, len(line.edges))
        return PROVED, None

    def _can_lose(self) -> bool:
        """Whether it is worth working out the values: in a score game every ending looks alike."""
        if scored(self.walk.game) is not None:
            return True
        return bool((self.walk.graph.ending == win_of(self.walk.game.visitor)).any())

    @property
    def seat_is_lost(self) -> bool:
        """Whether the seat is lost from the start, so that no strategy could prove the claim `never-loses`."""
        return self.verdict != PROVED and self.truth.lost_from_start

    @property
    def house_gives_game_away(self) -> bool:
        """Whether fair play would not lose from the start, but the house rules let the visitor win."""
        return self.seat_is_lost and not fair_game_is_lost(self.walk.game.fair, self.walk.game.seat)

    @property
    def positions(self) -> int:
        """Machine-to-move positions met on a fixed board, over all choices."""
        return self.walk.positions()

    @property
    def longest_line(self) -> int | None:
        """Plies of the longest line; None where play can be endless."""
        return longest_line(self.walk.graph)

    @property
    def never_said(self) -> tuple[str, ...]:
        """The messages that can never be said, by their names."""
        return never_said(self.walk)

    def decision(self) -> "Decision | None":
        """The first losing decision (or the place without a legal answer), None when proved or lost from the start."""
        if self.failure is None or self.failure.decision is None:
            return None
        graph, ply = self.walk.graph, self.failure.decision
        edges = self.failure.line.edges
        place = int(graph.parent[edges[ply]]) if ply < len(edges) else self._end_of(edges)
        move = int(graph.move[edges[ply]]) if ply < len(edges) else self._illegal_move(place)
        rule = int(self.walk.rule[place])
        return Decision(
            ply,
            place,
            move,
            rule if rule >= 0 else None,
            self.truth.better_moves(self.claim, self.failure, place),
        )

    def _end_of(self, edges: tuple[int, ...]) -> int:
        return int(self.walk.graph.child[edges[-1]]) if edges else self.walk.graph.start

    def _illegal_move(self, place: int) -> int | None:
        return next((move for at, move in self.walk.illegal if at == place), None)


class Decision(NamedTuple):
    """A decision of the machine's: at which ply of the line (from 0), where, what it played, by which rule.

    move is None where the strategy has no answer; better: the moves that keep the claim.
    """

    ply: int
    place: int
    move: int | None
    rule: int | None
    better: tuple[int, ...]


def fair_game_is_lost(game: Game, seat: int) -> bool:
    """Whether a seat is lost from the start of a game without house rules."""
    scores = scored(game)
    if scores is not None:
        from solver.scores import solve_scores

        return solve_scores(scores).at_start * (1 if seat == FIRST else -1) < 0
    return start_values(solve_game(game))[0] == RESULTS[win_of(1 - seat)]


def prove(strategy: Strategy, claim: str, house: HouseRules, report: Report | None = None) -> Proof:
    """Go through every line of a strategy in its seat under house rules; see `Proof`.

    Every move of the visitor's is tried, wrong input on purpose included, and every choice that the strategy
    leaves open.  Nothing is sampled.  `report` is told how far the work is; raises solver.graph.TooLarge
    where there are too many positions.
    """
    return Proof(strategy, claim, house, report)
