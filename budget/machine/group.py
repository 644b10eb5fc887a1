"""Machines that stand at the same place with the same links, and what each of them has in its registers."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from budget.machine import values
from budget.machine.rows import Array, Chosen, Value

Carry = tuple[Value, Value, bool]
"""What the carry is worked out from when it is asked for: whether the first is below the second, or is not."""
NO_CARRY: Carry = (0, 0, False)
LOST = -1
"""The angle of a turning store after a character has passed: anything."""


class Group:
    """Some machines: `machines` are their numbers, shape (n,), and `chosen` the same for rows.

    place, links: the same for all; a, m, angle: values; carry: see `Carry`; instructions, cycles: what they have all
    done since it was last written down; most: no machine has obeyed more instructions in this run.
    """

    __slots__ = (
        "a",
        "angle",
        "carry",
        "chosen",
        "cycles",
        "instructions",
        "links",
        "m",
        "machines",
        "most",
        "place",
    )

    def __init__(self, machines: Array, place: int, links: tuple[int, ...]) -> None:
        self.machines = machines
        self.chosen: Chosen = machines
        self.place = place
        self.links = links
        self.a: Value = 0
        self.m: Value = 0
        self.angle: Value = LOST
        self.carry = NO_CARRY
        self.instructions = 0
        self.cycles: Value = 0
        self.most = 0

    def __len__(self) -> int:
        return len(self.machines)

    @property
    def turn(self) -> tuple[int, int, tuple[int, ...]]:
        """What decides whose turn it is: the least goes first."""
        return -len(self.links), self.place, self.links

    def part(self, which: Array) -> "Group":
        """Those of the group at these positions in it."""
        part = Group(self.machines[which], self.place, self.links)
        part.a, part.m, part.angle = (values.part(each, which) for each in (self.a, self.m, self.angle))
        first, second, is_turned = self.carry
        part.carry = (values.part(first, which), values.part(second, which), is_turned)
        part.instructions, part.most = self.instructions, self.most
        part.cycles = values.part(self.cycles, which)
        return part

    def keep(self, which: Array) -> None:
        """Let go all but those at these positions."""
        kept = self.part(which)
        for name in self.__slots__:
            setattr(self, name, getattr(kept, name))

    def carry_value(self) -> Value:
        """The carry: 0 or 1."""
        first, second, is_turned = self.carry
        found = np.less(first, second) != is_turned
        return found.astype(np.uint8) if isinstance(found, np.ndarray) else int(found)


def joined(groups: Sequence[Group], count: int, word_type: np.dtype[Any]) -> Group:
    """One group out of several at the same place, whose counts have been written down; `count` machines are all."""
    machines = np.concatenate([group.machines for group in groups])
    whole = Group(machines, groups[0].place, groups[0].links)
    sizes = [len(group) for group in groups]
    whole.a = values.joined([group.a for group in groups], sizes, word_type)
    whole.m = values.joined([group.m for group in groups], sizes, np.dtype(np.int64))
    whole.angle = values.joined([group.angle for group in groups], sizes, np.dtype(np.int64))
    carries = [group.carry_value() for group in groups]
    whole.carry = (values.joined(carries, sizes, np.dtype(np.uint8)), 1, True)
    whole.most = max(group.most for group in groups)
    if len(machines) == count:
        _put_in_order(whole)
    return whole


def _put_in_order(group: Group) -> None:
    """Let a group of all machines be in the order of their numbers: rows then need no choosing."""
    order = np.empty(len(group), dtype=np.intp)
    order[group.machines] = np.arange(len(group))
    group.a, group.m, group.angle = (values.part(each, order) for each in (group.a, group.m, group.angle))
    first, second, is_turned = group.carry
    group.carry = (values.part(first, order), values.part(second, order), is_turned)
    group.machines = np.arange(len(group))
    group.chosen = slice(None)
