"""What comes along for certain: the states that every way of going on brings, and those that are one variable.

Where all picks lead to some state, near or far, that state comes whatever is picked; saying so in one row is much
stronger than what follows from the rows between.  And a state to which only one pick leads comes when that pick is
made and not else, so both are one question.
"""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from games.codes import Flags, Indices
from solver.least.choices import Choices

MOST_STATES = 20_000
"""Sets of so many states for each state are still small; in larger games only the states that come next are named."""


def sure_links(choices: Choices, weighed: Flags) -> tuple[Indices, Indices]:
    """Pairs of a step and a weighed state that comes for certain once that step is made, near or far, (n,) each.

    weighed: (s,) the states that need naming.  What follows from other pairs is left out.
    """
    step = np.repeat(np.arange(len(choices.step_pick)), np.diff(choices.first))
    named = weighed[choices.follow]
    if len(choices.states) > MOST_STATES:
        return step[named], choices.follow[named]
    after, sure = _sure(choices)
    pairs = list(_pairs(choices, after, sure, weighed))
    steps, targets = (np.array([pair[i] for pair in pairs], dtype=np.intp) for i in range(2))
    return steps, targets


def _sure(choices: Choices) -> tuple[list[int], list[int]]:
    """As sets of bits: what comes for certain with each state (s,), itself included, and after each step (t,).

    The least sets that fit: where play may loop for ever, what comes only after the loop is not certain.
    """
    follow = np.split(choices.follow, choices.first[1:-1]) if len(choices.step_pick) else []
    followers = [each.tolist() for each in follow]
    bounds = np.searchsorted(choices.step_state, np.arange(len(choices.states) + 1)).tolist()
    after = [1 << state for state in range(len(choices.states))]
    sure = [0] * len(followers)
    grows = True
    while grows:
        grows = False
        for state, here in enumerate(after):
            common = -1
            for step in range(bounds[state], bounds[state + 1]):
                sure[step] = _union(after, followers[step])
                common &= sure[step]
            with_it = here | common if bounds[state] < bounds[state + 1] else here
            if with_it != here:
                after[state] = with_it
                grows = True
    return after, sure


def _union(sets: list[int], of: list[int]) -> int:
    every = 0
    for one in of:
        every |= sets[one]
    return every


def _pairs(choices: Choices, after: list[int], sure: list[int], weighed: Flags) -> Iterator[tuple[int, int]]:
    """The pairs, state by state; not those of which another state that comes earlier says as much.

    Earlier than the target and later than the state itself: in a loop each could else lean on the other.
    """
    of_interest = sum(1 << int(state) for state in np.flatnonzero(weighed))
    brings = _turned_round(after)
    bounds = np.searchsorted(choices.step_state, np.arange(len(choices.states) + 1)).tolist()
    for state, (begin, end) in enumerate(pairwise(bounds)):
        steps = range(begin, end)
        for target in _bits(_union(sure, list(steps)) & of_interest):
            leading = [step for step in steps if sure[step] >> target & 1]
            together = -1
            for step in leading:
                together &= sure[step]
            earlier = together & brings[target] & of_interest & ~after[target] & ~brings[state]
            if not earlier:
                yield from ((step, target) for step in leading)


def _turned_round(after: list[int]) -> list[int]:
    """For each state the set of those with which it comes for certain."""
    brings = [0] * len(after)
    for state, every in enumerate(after):
        for other in _bits(every):
            brings[other] |= 1 << state
    return brings


def _bits(of: int) -> Iterator[int]:
    """The members of a set of bits, rising."""
    while of:
        lowest = of & -of
        yield lowest.bit_length() - 1
        of ^= lowest


def one_variable(choices: Choices, met: Flags) -> tuple[Indices, Indices, Indices]:
    """Numbers from 0 without gaps for boards (b,), picks (p,) and states (s,), the same for what comes as one.

    A board with one pick and that pick; a board of one state and that state; a state to which a single pick leads and
    that pick, unless it comes whatever is picked (`met`).
    """
    boards, picks = len(choices.boards), len(choices.pick_board)
    single = np.bincount(choices.board, minlength=boards) == 1
    only = np.bincount(choices.pick_board, minlength=boards) == 1
    board, pick = np.arange(boards), boards + np.arange(picks)
    step = np.repeat(np.arange(len(choices.step_pick)), np.diff(choices.first))
    from_single = single[choices.board[choices.step_state[step]]]
    apart = (
        boards + picks + np.arange(len(step))
    )  # leads from one of several states: the pick alone says too little
    mergeable = np.flatnonzero(single[choices.board] & ~met)
    while True:
        pick = np.where(only[choices.pick_board], board[choices.pick_board], pick)
        source = np.where(from_single, pick[choices.step_pick[step]], apart)
        low, high = np.full(len(met), apart[-1] if len(apart) else 0), np.full(len(met), -1)
        np.minimum.at(low, choices.follow, source)
        np.maximum.at(high, choices.follow, source)
        alone = mergeable[(low[mergeable] == high[mergeable]) & (low[mergeable] < boards + picks)]
        if np.array_equal(board[choices.board[alone]], low[alone]):
            break
        board[choices.board[alone]] = low[alone]
    state = np.where(single[choices.board], board[choices.board], boards + picks + np.arange(len(met)))
    numbers = np.unique(np.concatenate([board, pick, state]), return_inverse=True)[1].astype(np.intp)
    return numbers[:boards], numbers[boards : boards + picks], numbers[boards + picks :]
