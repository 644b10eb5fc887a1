"""The fewest stored answers with which a claim holds, and the ground for saying that there are none fewer.

A good strategy is looked for first, near what relaxations take; then it is proved in exact arithmetic that none is
better (`solver.least.bound`), and where that does not end HiGHS looks for a better one.  What was found is walked and
proved from scratch like any strategy that somebody has written.  Nothing of what a search says is taken for granted.
"""

import math
import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import Codes, Flags, Indices, MoveIds, distinct
from games.game import Game, least_images
from games.house import HouseRules
from games.housed import HousedGame
from solver.graph import reach
from solver.least.alike import symmetries_of
from solver.least.bound import Certificate, Prover
from solver.least.choices import Choices, choices_of
from solver.least.highs import minimise
from solver.least.model import Model, Whole, model_of
from solver.least.narrow import narrowed
from solver.least.start import Start
from solver.least.stopped import NotFound
from solver.least.together import together
from solver.proof import PROVED, Proof, prove
from solver.strategy import OPEN, PLAIN, Strategy
from solver.table import Row, TableRule

SEARCHING, PROVING = "searching", "proving"
SHARE_OF_START, SHARE_OF_FIRST_PROOF, SHARE_OF_SEARCH = 0.05, 0.8, 0.92
"""Of the time given, the parts after which these end at the latest: looking for a good strategy to begin with, a first
proof that none is better, and the search of HiGHS; what is left is for the proof of what that has found."""
TINY = 1e-6

Tell = Callable[[str, int | None, int], bool]
"""Told the stage, the fewest answers so far (None before any are found) and the bound; False asks for an end."""


class LeastAnswers(NamedTuple):
    """A strategy with few stored answers, and how few any can have.

    codes, moves: (n,) the boards (least images if `turned`) with the stored move, sorted by code.
    bound: no strategy stores fewer, proved in exact arithmetic; search_bound: what HiGHS says, in floating point.
    parts: into how many parts the exact proof divided all strategies.
    proof: the strategy proved anew.
    """

    turned: bool
    codes: Codes
    moves: MoveIds
    bound: int
    search_bound: int
    parts: int
    proof: Proof

    @property
    def answers(self) -> int:
        """How many answers are stored."""
        return len(self.codes)

    @property
    def proved_least(self) -> bool:
        """Whether the exact bound is reached."""
        return self.bound == self.answers

    def rows(self) -> list[Row]:
        """The answers as the rows of a table."""
        game, seat = self.proof.walk.game.fair, self.proof.walk.game.seat
        texts = game.texts(self.codes, seat)
        return [Row(text, int(move)) for text, move in zip(texts, self.moves, strict=True)]


def least_answers(
    game: Game,
    seat: int,
    claim: str,
    house: HouseRules,
    *,
    turned: bool = True,
    rules: Strategy | None = None,
    seconds: float = math.inf,
    tell: Tell | None = None,
) -> LeastAnswers:
    """The strategy with the fewest stored answers for which `claim` holds, as far as time allows.

    turned: boards alike by symmetry share an answer; else the board is fixed.  rules: what answers before anything
    stored is looked up.  seconds: for search and proof; what has been found by then is given with the bound.
    Raises solver.least.choices.Hopeless where the claim cannot hold, NotAlike where the rules see more than boards
    that are alike share, NotFound if time ran out too soon, ValueError for never-loses in a game of scores, and
    solver.graph.TooLarge.
    """
    clock = _Clock(seconds, tell)
    housed = HousedGame(game, house, seat)
    every = together(choices_of(housed, claim, turned=turned, rules=rules))
    gets_out = claim == "best-value" and game.can_repeat
    choices = every if gets_out else narrowed(every)
    loops: list[list[int]] = []
    while True:
        found = _Search(choices, loops, clock).run()
        codes, moves = _stored(choices, found.made)
        proof = prove(_strategy(housed, codes, moves, rules, turned=turned), claim, house)
        if proof.verdict == PROVED:
            return LeastAnswers(
                turned, codes, moves, min(found.exact, len(codes)), found.bound, found.parts, proof
            )
        loops.append(_picks_in_loop(choices, proof, codes, moves))


class _Clock:
    """How much time is left, and whether somebody asked for an end."""

    def __init__(self, seconds: float, tell: Tell | None) -> None:
        self._begin = time.monotonic()
        self._seconds = seconds
        self._tell = tell
        self.ended = False

    def left(self, share: float = 1.0) -> float:
        """Seconds until a share of the time is used up."""
        used = time.monotonic() - self._begin
        return 0.0 if self.ended else max(0.0, self._seconds * share - used)

    def tell(self, stage: str, best: int | None, bound: int) -> bool:
        """Pass on how far the work is; whether to go on."""
        if self._tell is not None and not self._tell(stage, best, bound):
            self.ended = True
        return not self.ended


class _Best(NamedTuple):
    """The picks made (p,) in the best point found, what the search says of the bound, and what was proved of it."""

    made: Flags
    bound: int
    exact: int
    parts: int


class _Search:
    """Finds a good point of a model, proves that none is better, and has HiGHS look for a better one in between."""

    def __init__(self, choices: Choices, loops: Sequence[Sequence[int]], clock: _Clock) -> None:
        self.clock = clock
        self.model = model_of(choices, loops)
        self.symmetries = [] if loops else symmetries_of(choices, self.model)
        self.parts = list(_apart_by_first_pick(choices, self.model))
        self.starts = (
            [Start(choices, part) for part in self.parts] if Start.serves(choices) and not loops else []
        )
        self.provers: list[Prover] = []
        self.certificates: list[Certificate] = []
        self.point: Whole | None = None
        self.cost: int | None = None

    def run(self) -> _Best:
        """Search and prove; raises NotFound if there was no time to find anything."""
        self._begin()
        self._prove(SHARE_OF_FIRST_PROOF)
        floor: float = self._exact()
        if not self._complete():
            floor = max(floor, self._look(SHARE_OF_SEARCH))
            self._prove(1.0)
        if self.point is None or self.cost is None:
            raise NotFound(math.ceil(floor - TINY))
        bound = min(math.ceil(floor - TINY), self.cost)
        exact = min(self._exact(), self.cost)
        return _Best(
            self.point[self.model.pick] > 0,
            max(bound, exact),
            exact,
            sum(each.parts for each in self.certificates),
        )

    def _begin(self) -> None:
        """Find good strategies: as if nothing were shared, and then near what the relaxation takes."""
        for number, (part, start) in enumerate(zip(self.parts, self.starts, strict=False)):
            until = SHARE_OF_START * (number + 1) / len(self.parts)
            self._take(part, start.run(self.clock.left(until / 2)))
        for number, (part, prover) in enumerate(zip(self.parts, self._made_provers(), strict=False)):
            until = SHARE_OF_START * (number + 1) / len(self.parts)
            if self.starts and self.clock.left(until) > 0:
                self._take(part, self.starts[number].run(self.clock.left(until), prover.point()))

    def _made_provers(self) -> list[Prover]:
        """A prover for each part, as soon as there is a figure to prove."""
        if not self.provers and self.cost is not None:
            for number, part in enumerate(self.parts):
                self.provers.append(Prover(part, self.cost, partial(self._hear, number), self.symmetries))
        return self.provers

    def _hear(self, number: int, relaxed: npt.NDArray[np.float64]) -> int:
        """Whether what a relaxation takes in a part leads to something better; the fewest answers so far."""
        if self.starts:
            self._take(self.parts[number], self.starts[number].near(relaxed))
        assert self.cost is not None
        return self.cost

    def _look(self, share: float) -> float:
        """Have HiGHS look for something better in every part; the bound that it answers for."""
        bounds = []
        for number, part in enumerate(self.parts):
            left = self.clock.left(share)
            found = minimise(
                part,
                left / (len(self.parts) - number),
                progress=lambda best, bound: self.clock.tell(SEARCHING, self._better(best), bound),
            )
            self._take(part, found.point)
            bounds.append(found.bound)
        return max(0.0, min(bounds))

    def _take(self, part: Model, point: Whole | None) -> None:
        """Keep a point if it is the best so far, and really one: nobody's word is taken for that."""
        if point is not None and part.allows(point):
            cost = int(part.cost @ point)
            if self.cost is None or cost < self.cost:
                self.point, self.cost = point, cost

    def _better(self, best: int | None) -> int | None:
        known = [cost for cost in (best, self.cost) if cost is not None]
        return min(known) if known else None

    def _prove(self, share: float) -> None:
        """Prove that nothing costs less than the best so far, in every part, as far as time goes."""
        provers = self._made_provers()
        self.certificates = []
        for number, prover in enumerate(provers):
            assert self.cost is not None
            prover.figure = min(prover.figure, self.cost)
            left = self.clock.left(share) / (len(provers) - number)
            self.certificates.append(prover.run(left, self._tell_of_proof))

    def _tell_of_proof(self, _: int, bound: int) -> bool:
        return self.clock.tell(PROVING, self.cost, bound)

    def _complete(self) -> bool:
        """Whether every part is proved."""
        return bool(self.certificates) and all(each.complete for each in self.certificates)

    def _exact(self) -> int:
        """What is proved so far of every part."""
        return min((each.bound for each in self.certificates), default=0)


def _apart_by_first_pick(choices: Choices, model: Model) -> Iterator[Model]:
    """The model divided by what the machine plays first, where that is one position: once for each kind of first move.

    First moves that symmetries of the first position carry into one another are of a kind: what holds for one holds
    for all.  On boards that count as one when they are alike such moves lead to the same boards already.
    """
    first = distinct(choices.board[choices.roots])
    if len(first) != 1 or len(choices.roots) != 1:
        yield model
        return
    picks = np.flatnonzero(choices.pick_board == first[0])
    for pick in _one_of_a_kind(choices, picks):
        lower, upper = model.lower.copy(), model.upper.copy()
        upper[model.pick[picks]] = 0
        lower[model.pick[pick]] = upper[model.pick[pick]] = 1
        yield model._replace(lower=lower, upper=upper)


def _one_of_a_kind(choices: Choices, picks: Indices) -> list[int]:
    """Of the picks of the first position one for each kind, the first."""
    game = choices.game
    moves = choices.pick_move[picks]
    least = moves.astype(np.intp)
    at = choices.states[choices.roots[:1]]
    for symmetry in range(1, game.symmetries):
        if game.turned(symmetry, at)[0] == at[0]:
            least = np.minimum(least, game.turned_move(symmetry, moves).astype(np.intp))
    present = set(moves.tolist())
    return [
        int(pick)
        for pick, move, kind in zip(picks, moves, least, strict=True)
        if move == kind or kind not in present
    ]


def _stored(choices: Choices, made: Flags) -> tuple[Codes, MoveIds]:
    """The boards that come to the machine while some picks (p,) are made, with the moves."""
    boards = len(choices.boards)
    _, firsts = np.unique(choices.pick_board[made], return_index=True)
    picks = np.flatnonzero(made)[firsts]
    pick_of = np.full(boards, -1, dtype=np.intp)
    pick_of[choices.pick_board[picks]] = picks
    met = boards_met(choices, pick_of)
    which = np.flatnonzero(met)
    return choices.boards[which], choices.pick_move[pick_of[which]]


def boards_met(choices: Choices, pick_of: Indices) -> Flags:
    """Which boards (b,) come to the machine when it makes the pick ``pick_of[board]`` wherever it is."""
    steps = np.searchsorted(choices.step_state, np.arange(len(choices.states) + 1)).astype(np.intp)
    states = np.zeros(len(choices.states), dtype=bool)
    frontier = distinct(choices.roots)
    while len(frontier):
        states[frontier] = True
        onward = reach(frontier, steps)
        onward = onward[choices.step_pick[onward] == pick_of[choices.board[choices.step_state[onward]]]]
        after = choices.follow[reach(onward, choices.first)]
        frontier = distinct(after[~states[after]])
    met = np.zeros(len(choices.boards), dtype=bool)
    met[choices.board[states]] = True
    return met


def _strategy(
    housed: HousedGame, codes: Codes, moves: MoveIds, rules: Strategy | None, *, turned: bool
) -> Strategy:
    """The rules that answer first, and the stored answers behind them."""
    game, seat = housed.fair, housed.seat
    rows = [Row(text, int(move)) for text, move in zip(game.texts(codes, seat), moves, strict=True)]
    stored = TableRule("the least table", 0, game, rows, turned=turned)
    first = () if rules is None else rules.rules
    choice = (OPEN if turned else PLAIN) if rules is None else rules.choice
    return Strategy("least", "", game, seat, [*first, *([stored] if rows else [])], choice)


def _picks_in_loop(choices: Choices, proof: Proof, codes: Codes, moves: MoveIds) -> list[int]:
    """The picks with which play stays for ever where it could be won; they must not all be made."""
    failure = proof.failure
    if failure is None or not failure.is_endless or failure.line.loop is None:
        raise RuntimeError(f"the least strategy of {choices.game.name} is {proof.verdict}")
    graph = proof.walk.graph
    edges = failure.line.edges[failure.line.loop :]
    places = [int(graph.parent[edge]) for edge in edges if proof.walk.machine[graph.parent[edge]]]
    seen = choices.game.fair_codes(graph.codes[places])
    if choices.turned:
        seen = least_images(choices.game.fair, seen)[0]
    boards = np.searchsorted(choices.boards, distinct(seen[np.isin(seen, codes)]))
    picked = dict(zip(np.searchsorted(choices.boards, codes).tolist(), moves.tolist(), strict=True))
    keys = {
        (int(b), int(m)): p
        for p, (b, m) in enumerate(zip(choices.pick_board, choices.pick_move, strict=True))
    }
    return [keys[int(board), picked[int(board)]] for board in boards]
