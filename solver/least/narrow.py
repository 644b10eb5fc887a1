"""Fewer choices that hold as few answers: what need not be weighed is taken away before anything is searched.

*Dominated choices* go: a pick that leads to every state to which another pick of its board leads, and is good in no
state in which the other is not (of two alike the first stays).  *Forced answers* and what follows them are states
that come whatever is picked, and need no weighing either.  What cannot be reached any more goes too.  The fewest
answers stay the same; which strategy has them may not.
"""

from itertools import pairwise

import numpy as np

from games.codes import Flags, distinct
from solver.graph import reach
from solver.least.choices import Choices
from solver.least.part import part


def narrowed(choices: Choices) -> Choices:
    """The same choices without what need not be weighed.

    Not for claims that forbid to stay in a loop: there a dominated pick may be the one that gets out.
    """
    while True:
        fewer = restricted(choices, ~_dominated(choices))
        if len(fewer.pick_board) == len(choices.pick_board):
            return fewer
        choices = fewer


def always_met(choices: Choices) -> Flags:
    """Which states (s,) come to the machine whatever is picked."""
    count = len(choices.states)
    ways = np.bincount(choices.step_state, minlength=count)
    source = np.repeat(choices.step_state, np.diff(choices.first))
    links, times = np.unique(source * count + choices.follow, return_counts=True)
    source, target = np.divmod(links, count)
    forced = times == ways[source]
    met = np.zeros(count, dtype=bool)
    met[choices.roots] = True
    while True:
        new = target[forced & met[source]]
        if met[new].all():
            return met
        met[new] = True


def restricted(choices: Choices, kept: Flags) -> Choices:
    """Only some picks (p,), and only what can still come to the machine with these."""
    met = _met(choices, kept)
    return part(choices, met, kept & np.isin(choices.pick_board, choices.board[met]))


def _met(choices: Choices, kept: Flags) -> Flags:
    """Which states (s,) can come to the machine with some picks (p,)."""
    steps = np.searchsorted(choices.step_state, np.arange(len(choices.states) + 1)).astype(np.intp)
    met = np.zeros(len(choices.states), dtype=bool)
    frontier = choices.roots
    while len(frontier):
        met[frontier] = True
        onward = reach(frontier, steps)
        onward = onward[kept[choices.step_pick[onward]]]
        after = choices.follow[reach(onward, choices.first)]
        frontier = distinct(after[~met[after]])
    return met


def _dominated(choices: Choices) -> Flags:
    """Which picks (p,) need not be made because another one of the board is as good wherever they are."""
    leads: list[dict[int, frozenset[int]]] = [{} for _ in choices.pick_board]
    for step, (state, pick) in enumerate(zip(choices.step_state, choices.step_pick, strict=True)):
        leads[pick][int(state)] = frozenset(
            choices.follow[choices.first[step] : choices.first[step + 1]].tolist()
        )
    dominated = np.zeros(len(leads), dtype=bool)
    bounds = np.searchsorted(choices.pick_board, np.arange(len(choices.boards) + 1)).tolist()
    for begin, end in pairwise(bounds):
        for pick in range(begin, end):
            dominated[pick] = any(
                other != pick
                and not dominated[other]
                and _covers(leads[other], leads[pick], or_equal=other < pick)
                for other in range(begin, end)
            )
    return dominated


def _covers(better: dict[int, frozenset[int]], worse: dict[int, frozenset[int]], *, or_equal: bool) -> bool:
    """Whether a pick is good in every state of another and leads to no state to which that one does not lead."""
    if any(state not in better or not better[state] <= after for state, after in worse.items()):
        return False
    return or_equal or better != worse
