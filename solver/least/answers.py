"""The fewest stored answers with which a claim holds, and the ground for saying that there are none fewer.

What the search (`solver.least.search`) found is walked and proved from scratch like any strategy that somebody has
written.  Nothing of what it says is taken for granted.
"""

import math
from typing import NamedTuple

import numpy as np

from games.codes import Codes, Flags, Indices, MoveIds, distinct
from games.game import Game, least_images
from games.house import HouseRules
from games.housed import HousedGame
from solver.graph import reach
from solver.least.choices import Choices, choices_of
from solver.least.clock import Clock, Tell
from solver.least.large import LargeSearch, is_large
from solver.least.narrow import narrowed
from solver.least.search import Search
from solver.least.together import together
from solver.proof import PROVED, Proof, prove
from solver.strategy import OPEN, PLAIN, Strategy
from solver.table import Row, TableRule

SHARE_OF_NARROWING = 0.5
"""Of the time given, the part after which no more choices are looked for that need not be weighed."""


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
    clock = Clock(seconds, tell)
    every = choices_of(HousedGame(game, house, seat), claim, turned=turned, rules=rules, report=clock.report)
    return least_of(every, claim, rules, clock)


def least_of(every: Choices, claim: str, rules: Strategy | None, clock: Clock) -> LeastAnswers:
    """The same where everything that may be stored for `claim` behind `rules` is known."""
    housed, turned = every.game, every.turned
    every = together(every)
    gets_out = claim == "best-value" and housed.fair.can_repeat
    choices = every if gets_out else narrowed(every, lambda: clock.left(SHARE_OF_NARROWING) > 0)
    loops: list[list[int]] = []
    while True:
        large = is_large(choices) and not loops
        found = (LargeSearch(choices, clock) if large else Search(choices, loops, clock)).run()
        codes, moves = _stored(choices, found.made)
        proof = prove(_strategy(housed, codes, moves, rules, turned=turned), claim, housed.house)
        if proof.verdict == PROVED:
            return LeastAnswers(
                turned, codes, moves, min(found.exact, len(codes)), found.bound, found.parts, proof
            )
        loops.append(_picks_in_loop(choices, proof, codes, moves))


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
