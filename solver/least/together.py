"""States of a board that always come together count as one: what house rules have counted then makes no difference.

A visitor who may go wrong without cost can do so before any move, so where a board can come with nothing counted it
can come with any count as well.  Taken as one state, they need one variable and not many with weak rows between.
"""

import numpy as np

from games.codes import Indices, distinct
from solver.least.choices import Choices


def together(choices: Choices) -> Choices:
    """The same choices with states that can only come together taken as one (the least stands for all).

    States of a board are put together as long as they are reached from the same states by the same picks, those
    counted as one that are together themselves: the coarsest such division, found by dividing what is not.  Then, if
    one of them comes, some pick in some earlier state has led there, all states together with that one have come as
    well, and one of these leads to each of the others.
    """
    if len(choices.boards) == len(choices.states):
        return choices
    label, picks = _labels(choices), len(choices.pick_board)
    _, least = np.unique(label, return_index=True)
    barred = distinct(label[choices.barred_state] * picks + choices.barred_pick)
    source = label[choices.step_state] * picks + choices.step_pick
    steps = distinct(
        source[~np.isin(source, barred)]
    )  # a pick that gives the claim away in one of them does so in all
    links = distinct(np.repeat(source, np.diff(choices.first)) * len(least) + label[choices.follow])
    links = links[np.isin(links // len(least), steps)]
    return choices._replace(
        states=choices.states[least],
        board=choices.board[least],
        step_state=steps // picks,
        step_pick=steps % picks,
        follow=links % len(least),
        first=np.searchsorted(links // len(least), np.append(steps, np.iinfo(np.int64).max)).astype(np.intp),
        barred_state=barred // picks,
        barred_pick=barred % picks,
        roots=distinct(label[choices.roots]),
    )


def _labels(choices: Choices) -> Indices:
    """For each state (s,) a number that those which always come together share; they number from 0 without gaps."""
    count, picks = len(choices.states), len(choices.pick_board)
    is_root = np.zeros(count, dtype=np.intp)
    is_root[choices.roots] = 1
    label = np.unique(choices.board * 2 + is_root, return_inverse=True)[1]
    step = np.repeat(np.arange(len(choices.step_pick)), np.diff(choices.first))
    while True:
        sources = label[choices.step_state[step]] * picks + choices.step_pick[step]
        links = np.unique(np.stack([choices.follow, sources]), axis=1)
        bounds = np.searchsorted(links[0], np.arange(count + 1))
        known: dict[tuple[int, bytes], int] = {}
        finer = np.array(
            [
                known.setdefault((int(label[s]), links[1, bounds[s] : bounds[s + 1]].tobytes()), len(known))
                for s in range(count)
            ],
            dtype=np.intp,
        )
        if len(known) == label.max() + 1:
            return finer
        label = finer
