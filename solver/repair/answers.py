"""The fewest stored answers in front of a strategy with which its claim holds, and the ground for saying so.

HiGHS finds how few there may be, and that none fewer will do is proved in whole numbers (`solver.least.bound`).  Which
ones are taken is then settled one by one along the shortest line that still loses: the last board on it that some
least set of answers can mend, and the least move.  So what comes out does not hang on what HiGHS came upon, and each
answer mends a line that can be shown.  What is put together is proved anew like any strategy.
"""

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from games.codes import Codes, MoveIds, distinct
from games.game import least_images
from games.house import HouseRules
from games.housed import HousedGame
from solver.least.answers import LeastAnswers
from solver.least.bound import Certificate, Prover
from solver.least.choices import Choices
from solver.least.clock import Clock, Tell
from solver.least.highs import Found, minimise
from solver.least.model import Model, Whole, model_of
from solver.least.narrow import narrowed
from solver.least.search import PROVING, SEARCHING, SHARE_OF_SEARCH, TINY
from solver.least.stopped import NotFound
from solver.proof import PROVED, Proof, prove
from solver.repair.course import Course
from solver.repair.overruled import Overruled, overruled, tolls
from solver.strategy import Strategy
from solver.table import Row, TableRule

SHARE_OF_FIND = 0.5
"""Of the time given, the part after which the search of HiGHS ends at the latest; the rest is for the proof."""


def fewest_answers(
    strategy: Strategy,
    claim: str,
    house: HouseRules,
    *,
    over: Overruled | None = None,
    seconds: float = math.inf,
    tell: Tell | None = None,
) -> LeastAnswers:
    """The fewest answers in front of a strategy with which `claim` holds, none where it holds already.

    Its choices stay as they are: the claim holds for all that it leaves open.  over: what there is to choose, if known.
    `tell` is told how far the search is, and may end it.  Raises solver.least.choices.Hopeless where no strategy keeps
    the claim, NotFound if time ran out too soon, ValueError for never-loses in a game of scores, and
    solver.graph.TooLarge.
    """
    clock = Clock(seconds, tell)
    housed = HousedGame(strategy.game, house, strategy.seat)
    over = over or overruled(housed, claim, strategy)
    gets_out = claim == "best-value" and housed.can_repeat
    choices = over.choices if gets_out else narrowed(over.choices)
    loops: list[list[int]] = []
    while True:
        found = _Search(choices, loops, clock).run()
        codes, moves = _stored(choices, found.made)
        mended = with_answers(strategy, codes, moves, turned=choices.turned)
        proof = prove(mended, claim, house)
        if proof.verdict == PROVED:
            return LeastAnswers(choices.turned, codes, moves, found.exact, found.bound, found.parts, proof)
        loops.append(_picks_in_loop(choices, found.made, proof))


def with_answers(strategy: Strategy, codes: Codes, moves: MoveIds, *, turned: bool) -> Strategy:
    """The strategy with stored answers in front; `turned` says that boards are least images."""
    texts = strategy.game.texts(codes, strategy.seat)
    rows = [Row(text, int(move)) for text, move in zip(texts, moves, strict=True)]
    stored = [TableRule("the answers in front", 0, strategy.game, rows, turned=turned)] if rows else []
    rules = [*stored, *strategy.rules]
    return Strategy(strategy.name, strategy.file, strategy.game, strategy.seat, rules, strategy.choice)


class _Least(NamedTuple):
    """What a search came to: by board the pick that overrules the strategy there, and bounds as in `LeastAnswers`."""

    made: dict[int, int]
    bound: int
    exact: int
    parts: int


class _Search:
    """Finds how few tolls there may be, proves that there are none fewer, and settles which."""

    def __init__(self, choices: Choices, loops: Sequence[Sequence[int]], clock: Clock) -> None:
        self._clock = clock
        self._course = Course(choices)
        self._in_loops = sorted({int(choices.pick_board[pick]) for loop in loops for pick in loop})
        model = model_of(choices, loops)
        counted = tolls(choices)
        self._toll_of = _toll_of_each_pick(choices)
        cost = np.bincount(model.board[counted], minlength=len(model.lower)).astype(np.int64)
        self._model = model._replace(cost=cost)

    def run(self) -> _Least:
        """Search, prove, settle; raises NotFound if there was no time to find anything."""
        found = minimise(self._model, self._clock.left(SHARE_OF_FIND), self._tell)
        if found.point is None or not self._model.allows(found.point):
            raise NotFound(max(0, math.ceil(found.bound - TINY)) if math.isfinite(found.bound) else 0)
        cost = self._cost(found.point)
        proved = self._prove(cost)
        bound = max(proved.bound, min(cost, math.ceil(found.bound - TINY)))
        made = self._settled(found.point, cost) if proved.complete else self._as_found(found.point)
        return _Least(made, bound, proved.bound, proved.parts)

    def _tell(self, best: int | None, bound: int) -> bool:
        return self._clock.tell(SEARCHING, best, bound)

    def _cost(self, point: Whole) -> int:
        return int(self._model.cost @ point)

    def _prove(self, cost: int) -> Certificate:
        """That no point costs less; nothing costs less than nothing."""
        if not cost:
            return Certificate(0, 0, complete=True)
        prover = Prover(self._model, cost)
        return prover.run(
            self._clock.left(SHARE_OF_SEARCH), lambda _, bound: self._clock.tell(PROVING, cost, bound)
        )

    def _as_found(self, point: Whole) -> dict[int, int]:
        """The picks of a point that come to overrule the strategy."""
        asked = {board: pick for board, pick in self._course.overruling if point[self._model.pick[pick]]}
        return {board: asked[board] for board in self._course.followed(asked).boards if board in asked}

    def _settled(self, point: Whole, cost: int) -> dict[int, int]:
        """Picks of a point that costs as little, chosen along one losing line after the other, then along loops."""
        made: dict[int, int] = {}
        model = self._model
        while len(made) < cost:
            line = self._course.followed(made).losing
            boards = self._in_loops if line is None else self._course.boards(line)
            for board, pick in self._course.mending(boards, made):
                fixed = self._with_made(model, board, pick)
                other = point if fixed.allows(point) else self._still_found(fixed)
                if other is not None and self._cost(other) == cost:
                    model, point, made[board] = fixed, other, pick
                    break
            else:
                return self._as_found(point)  # time has run out
        return made

    def _still_found(self, model: Model) -> Whole | None:
        found: Found = minimise(model, self._clock.left())
        return found.point if found.point is not None and model.allows(found.point) else None

    def _with_made(self, model: Model, board: int, pick: int) -> Model:
        """The model with a pick made, its board met and its toll paid."""
        lower = model.lower.copy()
        lower[[model.pick[pick], model.board[board], model.board[self._toll_of[pick]]]] = 1
        return model._replace(lower=lower)


def _toll_of_each_pick(choices: Choices) -> dict[int, int]:
    """The board of the toll to which each pick leads that overrules the strategy."""
    counted = tolls(choices)
    found = {}
    for step, pick in enumerate(choices.step_pick.tolist()):
        after = choices.board[choices.follow[choices.first[step] : choices.first[step + 1]]]
        for board in after[counted[after]].tolist():
            found[pick] = board
    return found


def _stored(choices: Choices, made: dict[int, int]) -> tuple[Codes, MoveIds]:
    """The boards on which the strategy is overruled, sorted, with the moves."""
    boards = np.array(sorted(made), dtype=np.intp)
    picks = np.array([made[board] for board in sorted(made)], dtype=np.intp)
    return choices.boards[boards], choices.pick_move[picks]


def _picks_in_loop(choices: Choices, made: dict[int, int], proof: Proof) -> list[int]:
    """The picks with which play stays for ever where it could be won; they must not all be made."""
    failure = proof.failure
    if failure is None or not failure.is_endless or failure.line.loop is None:
        raise RuntimeError(f"the mended strategy of {choices.game.name} is {proof.verdict}")
    graph = proof.walk.graph
    places = [int(graph.parent[edge]) for edge in failure.line.edges[failure.line.loop :]]
    seen = choices.game.fair_codes(graph.codes[[place for place in places if proof.walk.machine[place]]])
    if choices.turned:
        seen = least_images(choices.game.fair, seen)[0]
    course = Course(choices)
    number = {int(code): board for board, code in enumerate(choices.boards[~tolls(choices)].tolist())}
    return [course.pick(number[int(code)], made) for code in distinct(seen)]
