"""Faulty machines run until each waits, stands still, or is sure never to answer."""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from budget.drilling.stores import MixedFleet
from budget.faulty import MOST_TOLD, SLACK
from budget.machine.rows import Array
from budget.machine.simulator import LIMIT
from budget.machine.states import IS_AT_LIMIT, IS_HALTED

ROUND = 720
"""Instructions after which a machine that has not answered is looked at again: many lengths of loops divide it."""
MOST_KEPT = 20 * MOST_TOLD
"""Codes of a reply that are kept."""


class Reply(NamedTuple):
    """What a machine has done after an input: what it has printed (perhaps cut short), and how it stands."""

    sent: tuple[int, ...]
    status: str


def replies_of(fleet: MixedFleet, typed: Sequence[Sequence[int]], worst: int) -> list[Reply]:
    """What each machine makes of its input; `typed` may be empty for all.  worst: what takes a sound one longest.

    A machine is taken to run for ever that takes SLACK times as long; and at once one that stands after a round just as
    it stood before.
    """
    states = fleet.states
    fleet.run(typed, 2 * worst)
    read = fleet.has_read().copy()
    sent = [list(each) for each in fleet.sent]
    endless = np.zeros(len(fleet), dtype=np.bool_)
    left = (SLACK - 2) * worst
    while left > 0 and (states.status == IS_AT_LIMIT).any():
        late = np.flatnonzero(states.status == IS_AT_LIMIT)
        stood = fleet.codes(late)
        fleet.run(_left_to_read(typed, read, late), ROUND)
        read += fleet.has_read()
        for number in late.tolist():
            sent[number].extend(fleet.sent[number][: max(0, MOST_KEPT - len(sent[number]))])
        stands = fleet.codes(late)
        if stood.shape == stands.shape:
            same = late[(stood == stands).all(axis=1) & (states.status[late] == IS_AT_LIMIT)]
            endless[same] = True
            states.status[same] = IS_HALTED  # so that they are not run any more
        left -= ROUND
    told = fleet.statuses()
    return [
        Reply(tuple(each), LIMIT if never else status)
        for each, status, never in zip(sent, told, endless.tolist(), strict=True)
    ]


def _left_to_read(typed: Sequence[Sequence[int]], read: Array, late: Array) -> list[Sequence[int]]:
    """What some machines have not read yet of their input; for the others nothing."""
    left: list[Sequence[int]] = [()] * len(read)
    if len(typed):
        for number in late.tolist():
            left[number] = typed[number][read[number] :]
    return left
