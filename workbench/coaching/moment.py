"""One moment of a game in which the machine is to move: which rule answers, what every move is worth, what follows."""

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple, cast

import numpy as np

from games.codes import FIRST, by_parent
from games.game import scored
from games.house import HouseRules
from games.housed import HousedGame
from solver.claims import worth
from solver.engines import solve_any
from solver.least.keeping import keeping
from solver.progress import Report
from solver.proof import Known, Proof
from solver.scores import SolvedScores
from solver.solved import Solved
from solver.strategy import NO_RULE, Strategy
from solver.values import sure_results
from solver.walk import Walk, walk
from solver.witness import Line, follow
from workbench.coaching.position import Asked
from workbench.coaching.seen import what_it_saw, why_not
from workbench.output import plural

if TYPE_CHECKING:
    from solver.score_claims import ScoreTruth

RESULTS = ("a loss", "a draw", "a win")
"""What a position is worth to the machine, by number."""


class Option(NamedTuple):
    """A legal move: what it would have been worth, whether it keeps the claim, and whether the strategy allows it.

    result: 2 win, 1 draw, 0 loss, or where moves score the points still to come; plies: to the end, -1 in a draw.
    """

    move: int
    result: int
    plies: int
    keeps: bool
    allowed: bool


class Passed(NamedTuple):
    """A rule that stands before the one that answered, and why it had no move."""

    line: int
    rule: str
    why: str


class Moment:
    """A position, and everything that `explain` says about it.

    rule: the number of the rule that answered, None if none did.  proof: that of the game as it goes on from here.
    scores: whether what moves are worth are points.
    """

    def __init__(
        self, asked: Asked, strategy: Strategy, claim: str, game: HousedGame, solved: Solved | SolvedScores
    ) -> None:
        self.asked, self.game, self.strategy, self.claim = asked, game, strategy, claim
        self.scores = isinstance(solved, SolvedScores)
        here = np.array([asked.code], dtype=np.uint64)
        self._board = game.fair_codes(here)
        answers = strategy.answers(self._board)
        self.rule = None if answers.rule[0] == NO_RULE else int(answers.rule[0])
        self.options = options_at(asked.code, claim, game, solved, answers.move.tolist())
        legal = {option.move for option in self.options}
        self.illegal = tuple(move for move in answers.move.tolist() if move not in legal)
        self.proof = Proof(
            strategy, claim, game.house, known=Known(begun_at(asked.code, strategy, game), solved)
        )

    def saw(self) -> list[str]:
        """What the rule that answered saw."""
        return [] if self.rule is None else what_it_saw(self.strategy, self.rule, self._board)

    def passed(self) -> list[Passed]:
        """The rules before the one that answered."""
        before = self.strategy.rules[: self.rule]
        return [Passed(rule.line, rule.text, why_not(rule)) for rule in before]

    @property
    def is_bad(self) -> bool:
        """Whether some move that the strategy allows gives the claim away here."""
        return bool(self.illegal) or any(option.allowed and not option.keeps for option in self.options)

    def line(self) -> Line:
        """The shortest line from here that breaks the claim; if there is none, one with the visitor's best play."""
        if self.proof.failure is not None:
            return self.proof.failure.line
        return best_for_visitor(self.proof)


def read_and_solve(
    strategy: Strategy, house: HouseRules, report: Report | None = None
) -> tuple[HousedGame, Solved | SolvedScores]:
    """The game under its house rules, and the values of all its positions."""
    game = HousedGame(strategy.game, house, strategy.seat)
    return game, solve_any(game, report=report)


def begun_at(code: int, strategy: Strategy, game: HousedGame) -> Walk:
    """Everything that a strategy can meet from a position on."""
    begun = HousedGame(game.fair, game.house, game.seat)
    begun.start = code
    return walk(begun, strategy)


def options_at(
    code: int, claim: str, game: HousedGame, solved: Solved | SolvedScores, allowed: list[int]
) -> list[Option]:
    """Every legal move of the machine's in a position; allowed: those that the strategy allows."""
    here = np.array([code], dtype=np.uint64)
    moves = by_parent(game.moves(here))
    if isinstance(solved, SolvedScores):
        sign = 1 if game.seat == FIRST else -1
        scores = scored(game)
        assert scores is not None
        results = sign * (
            scores.gains(here[moves.parent], moves.move).astype(np.intp) + solved.look_up(moves.child)
        )
        plies = np.full(len(results), -1)
        keeps = results == results.max()
    else:
        values = solved.look_up(moves.child)
        results, plies = worth(values.value, game.seat), values.distance + (values.distance >= 0)
        keeps = keeping(solved, claim, game.seat, here, moves)
    rows = zip(moves.move.tolist(), results.tolist(), plies.tolist(), keeps.tolist(), strict=True)
    return [Option(move, result, ply, kept, move in allowed) for move, result, ply, kept in rows]


def worth_in_words(option: Option, *, scores: bool) -> str:
    """What a move would have been worth."""
    if scores:
        return f"{option.result:+d} points to come"
    if option.plies < 0:
        return RESULTS[option.result]
    return f"{RESULTS[option.result]} in {plural(option.plies, 'ply', 'plies')}"


def best_for_visitor(proof: Proof) -> Line:
    """The line on which the visitor does best against the strategy, the least moves where several are as good."""
    graph, game = proof.walk.graph, proof.walk.game
    rank = _liking(proof)

    def choose(place: int) -> int | None:
        edges = [edge for edge in graph.edges_of(place) if graph.move[edge] < game.fair_moves]
        if not edges:
            return None
        return edges[0] if graph.mover[place] == game.seat else min(edges, key=rank)

    return follow(graph, (), choose)


def _liking(proof: Proof) -> Callable[[int], tuple[int, int]]:
    """How the visitor likes moves: by what it is sure of then, a quick win and a late loss first."""
    graph, game = proof.walk.graph, proof.walk.game
    if scored(game) is not None:
        truth = cast("ScoreTruth", proof.truth)
        return lambda edge: (int(truth.gains[edge] + truth.sure[graph.child[edge]]), 0)
    sure = sure_results(graph, game.visitor)
    results = worth(sure.value, game.seat)

    def rank(edge: int) -> tuple[int, int]:
        child = graph.child[edge]
        late = -1 if results[child] == 2 else 1
        return int(results[child]), late * int(sure.distance[child])

    return rank
