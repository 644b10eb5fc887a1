"""Fewer choices that hold as few answers: what need not be weighed is taken away before anything is searched.

*Dominated choices* go: a pick that leads to every state to which another pick of its board leads, and is good in no
state in which the other is not (of two alike the first stays).  *Forced answers* and what follows them are states
that come whatever is picked, and need no weighing either.  What cannot be reached any more goes too.  The fewest
answers stay the same; which strategy has them may not.
"""

from collections.abc import Callable

import numpy as np

from games.codes import Flags, Indices, distinct
from solver.graph import reach
from solver.least.choices import Choices
from solver.least.part import part

STATES_AT_ONCE = 2_000
KINDS = 61
"""Into how many kinds states are divided for a first look; a prime number, so that steps of any length are mixed."""


def narrowed(choices: Choices, goes_on: Callable[[], bool] = lambda: True) -> Choices:
    """The same choices without what need not be weighed, or without some of that where it does not go on so long.

    Not for claims that forbid to stay in a loop: there a dominated pick may be the one that gets out.
    """
    while True:
        fewer = restricted(choices, ~_dominated(choices, goes_on))
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


def _dominated(choices: Choices, goes_on: Callable[[], bool]) -> Flags:
    """Which picks (p,) need not be made because another one of the board is as good wherever they are."""
    width = len(choices.pick_board)
    dominated = np.zeros(width, dtype=bool)
    covering = _covering(choices, goes_on)
    better, worse = np.divmod(covering, max(width, 1))
    is_mutual = np.isin(worse * width + better, covering)
    dominated[worse[(better < worse) | ~is_mutual]] = True
    return dominated


def _covering(choices: Choices, goes_on: Callable[[], bool]) -> Indices:
    """Pairs of picks of which one is as good as the other wherever that is good, better * picks + worse, sorted.

    As good in a state: it is good there, and leads to no state to which the other does not lead.
    """
    picks, leads = len(choices.pick_board), _Leads(choices)
    found = [np.zeros(0, dtype=np.intp)]
    bounds = np.searchsorted(choices.step_state, np.arange(len(choices.states) + 1)).astype(np.intp)
    for begin in range(0, len(choices.states), STATES_AT_ONCE):
        if not goes_on():
            break
        better, worse = leads.nested(*_pairs(bounds[begin : begin + STATES_AT_ONCE + 1]))
        found.append(choices.step_pick[better] * picks + choices.step_pick[worse])
    pairs, times = np.unique(np.concatenate(found), return_counts=True)
    states_of = np.bincount(choices.step_pick, minlength=picks)
    everywhere: Indices = pairs[times == states_of[pairs % max(picks, 1)]]
    return everywhere


class _Leads:
    """Where steps lead: which of two leads only to states to which the other leads as well."""

    def __init__(self, choices: Choices) -> None:
        self._choices = choices
        step = np.repeat(np.arange(len(choices.step_pick)), np.diff(choices.first))
        self._links = step * len(choices.states) + choices.follow
        self._sketch = np.zeros(len(choices.step_pick), dtype=np.uint64)
        """A bit for each kind of state to which a step leads: one bit more, and it leads to a state more."""
        np.bitwise_or.at(self._sketch, step, np.uint64(1) << (choices.follow % KINDS).astype(np.uint64))

    def nested(self, better: Indices, worse: Indices) -> tuple[Indices, Indices]:
        """Those pairs of steps (n,) of which the first leads to nothing to which the second does not."""
        maybe = self._sketch[better] & ~self._sketch[worse] == 0
        better, worse = better[maybe], worse[maybe]
        first = self._choices.first
        pair = np.repeat(np.arange(len(better)), (first[1:] - first[:-1])[better])
        asked = worse[pair] * len(self._choices.states) + self._choices.follow[reach(better, first)]
        place = np.minimum(np.searchsorted(self._links, asked), len(self._links) - 1)
        missing = np.bincount(pair[self._links[place] != asked], minlength=len(better))
        return better[missing == 0], worse[missing == 0]


def _pairs(bounds: Indices) -> tuple[Indices, Indices]:
    """All pairs of two steps of a state, (n,) each; bounds: (states + 1,) where the steps of each begin."""
    counts = np.diff(bounds)
    state = np.repeat(np.arange(len(counts)), counts)
    one, other = np.repeat(np.arange(bounds[0], bounds[-1]), counts[state]), reach(state, bounds)
    apart = one != other
    return one[apart], other[apart]
