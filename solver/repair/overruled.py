"""What there is to choose where a strategy may be overruled: on each board keep what it plays, or store another move.

The same and-or graph as for the fewest answers (`solver.least.choices`), with one pick more on each board on which the
strategy gives nothing away: to keep what it plays, all of it, since the claim must hold for whatever it leaves open.
To overrule leads to a *toll* besides, a board of its own on which nothing is left to choose: so the tolls that are met
count the answers stored, and what is found for boards holds for tolls.
"""

from collections.abc import Sequence
from functools import reduce
from operator import or_
from typing import NamedTuple

import numpy as np

from games.codes import Codes, Flags, Indices, distinct
from games.game import inverse_symmetries
from games.housed import HousedGame
from solver.least.choices import Choices, choices_of
from solver.least.pictures_boards import members, set_of
from solver.least.together import together
from solver.strategy import PLAIN, TURNED, Strategy

NOTHING = np.zeros(0, dtype=np.intp)
States = int
"""A set of states: bit s for state s."""


class Overruled(NamedTuple):
    """What there is to choose in front of a strategy.

    choices: with tolls and picks that keep; every: the same without either, as pictures see it.
    keeps: for each state of `every` what comes next if the strategy is kept there; None where that gives the claim
    away, or the strategy has no legal answer.
    """

    choices: Choices
    every: Choices
    keeps: tuple[States | None, ...]


def keeping(choices: Choices) -> Flags:
    """Which picks (p,) keep what the strategy plays."""
    return np.equal(choices.pick_move, len(choices.game.move_names))


def tolls(choices: Choices) -> Flags:
    """Which boards (b,) are tolls."""
    found = np.zeros(len(choices.boards), dtype=bool)
    found[choices.pick_board[choices.pick_move > len(choices.game.move_names)]] = True
    return found


def overruled(game: HousedGame, claim: str, strategy: Strategy) -> Overruled:
    """Everything that may be stored in front of a strategy, in its seat, so that `claim` holds.

    Boards that are alike count as one where the strategy answers them alike.  Raises solver.least.choices.Hopeless
    where nothing makes the claim hold, and solver.graph.TooLarge where there are too many positions.
    """
    every = every_choice(game, claim, [strategy])
    keeps = kept(every, strategy)
    return Overruled(_with_tolls(every, keeps), every, keeps)


def every_choice(game: HousedGame, claim: str, strategies: Sequence[Strategy]) -> Choices:
    """Everything that may be played so that `claim` holds; boards alike count as one where all strategies say so.

    All strategies settle their choices in the same way.
    """
    if strategies[0].choice != PLAIN:
        every = together(choices_of(game, claim, turned=True))
        if all(_answers_alike(strategy, every.boards) for strategy in strategies):
            return every
    return together(choices_of(game, claim, turned=False))


def _answers_alike(strategy: Strategy, boards: Codes) -> bool:
    """Whether a strategy allows on every image of a board the images of what it allows on the board."""
    if strategy.choice == TURNED:
        return True
    game = strategy.game
    width, back = len(game.move_names), inverse_symmetries(game)
    here = strategy.answers(boards)
    allowed = here.place * width + here.move
    for symmetry in range(1, game.symmetries):
        there = strategy.answers(game.turned(symmetry, boards))
        turned_back = there.place * width + game.turned_move(back[symmetry], there.move)
        if not np.array_equal(np.sort(turned_back), allowed):
            return False
    return True


def kept(every: Choices, strategy: Strategy) -> tuple[States | None, ...]:
    """For each state what comes next if the strategy is kept there; None where it must not be, or has no answer."""
    width, picks = len(every.game.move_names), len(every.pick_board)
    answers = strategy.answers(every.boards)
    pick_of = dict(zip((every.pick_board * width + every.pick_move).tolist(), range(picks), strict=True))
    allowed: list[list[int]] = [[] for _ in every.boards]
    for place, move in zip(answers.place.tolist(), answers.move.tolist(), strict=True):
        allowed[place].append(pick_of.get(place * width + move, picks))
    pairs = zip(every.step_state.tolist(), every.step_pick.tolist(), strict=True)
    after = {
        pair: set_of(every.follow[every.first[step] : every.first[step + 1]].tolist())
        for step, pair in enumerate(pairs)
    }
    keeps: list[States | None] = []
    for state, board in enumerate(every.board.tolist()):
        steps = [after.get((state, pick)) for pick in allowed[board]]
        good = [each for each in steps if each is not None]
        keeps.append(reduce(or_, good) if good and len(good) == len(steps) else None)
    return tuple(keeps)


class _Steps(NamedTuple):
    """Steps before they are laid out: of each its state, its pick and what may come next."""

    state: list[int]
    pick: list[int]
    after: list[Indices]

    def add(self, state: int, pick: int, after: Indices) -> None:
        self.state.append(state)
        self.pick.append(pick)
        self.after.append(after)


def _with_tolls(every: Choices, keeps: tuple[States | None, ...]) -> Choices:
    """The choices with a pick to keep where that is possible, and a toll for each board.

    A board's pick to keep stands behind its others, under a move that no game has.  Tolls come behind all boards,
    each with a state and one pick of its own, behind which nothing comes.
    """
    boards, states, picks = len(every.boards), len(every.states), len(every.pick_board)
    keeping_states = np.array(
        [state for state, after in enumerate(keeps) if after is not None], dtype=np.intp
    )
    can_keep = distinct(every.board[keeping_states])
    no_move = len(every.game.move_names)
    pick_board = np.concatenate([every.pick_board, can_keep, np.arange(boards, 2 * boards)])
    pick_move = np.concatenate(
        [every.pick_move, np.full(len(can_keep), no_move), np.full(boards, no_move + 1)]
    )
    order = np.lexsort((pick_move, pick_board))
    number = np.argsort(order)
    keep_of = dict(zip(can_keep.tolist(), number[picks:].tolist(), strict=False))
    steps = _Steps([], [], [])
    for step, (state, pick) in enumerate(
        zip(every.step_state.tolist(), every.step_pick.tolist(), strict=True)
    ):
        onward = every.follow[every.first[step] : every.first[step + 1]]
        steps.add(state, int(number[pick]), np.append(onward, states + every.board[state]))
    barred = list(zip(every.barred_state.tolist(), number[every.barred_pick].tolist(), strict=True))
    for state, (board, after) in enumerate(zip(every.board.tolist(), keeps, strict=True)):
        if after is not None:
            steps.add(state, keep_of[board], np.array(list(members(after)), dtype=np.intp))
        elif board in keep_of:
            barred.append((state, keep_of[board]))
    for board in range(boards):
        steps.add(states + board, int(number[picks + len(can_keep) + board]), NOTHING)
    pairs = np.array(barred, dtype=np.intp).reshape(-1, 2)
    return _laid_out(every, steps, pick_board[order], pick_move[order])._replace(
        barred_state=pairs[:, 0], barred_pick=pairs[:, 1]
    )


def _laid_out(every: Choices, steps: _Steps, pick_board: Indices, pick_move: Indices) -> Choices:
    """The choices with these steps and picks; the tolls' codes are nobody's."""
    boards = len(every.boards)
    order = np.lexsort((steps.pick, steps.state))
    lengths = [len(steps.after[step]) for step in order]
    nobodys = np.zeros(boards, dtype=np.uint64)
    return every._replace(
        boards=np.concatenate([every.boards, nobodys]),
        states=np.concatenate([every.states, nobodys]),
        board=np.concatenate([every.board, np.arange(boards, 2 * boards)]),
        pick_board=pick_board,
        pick_move=pick_move.astype(np.uint16),
        step_state=np.array(steps.state, dtype=np.intp)[order],
        step_pick=np.array(steps.pick, dtype=np.intp)[order],
        follow=np.concatenate([NOTHING, *(steps.after[step] for step in order)]).astype(np.intp),
        first=np.concatenate([[0], np.cumsum(lengths)]).astype(np.intp),
    )
