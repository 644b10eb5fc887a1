"""Machines of an order sheet that stand at the same place, and what each of them has in its registers."""

from collections.abc import Sequence
from typing import Any

import numpy as np

from budget.machine import values
from budget.machine.rows import Array, Chosen, Value

Links = tuple[int, ...]
Channels = tuple[bool, bool, bool]
"""Whether a key waits to be read, whether the printer is ready again, and whether it prints."""
QUIET: Channels = (False, False, False)
Turn = tuple[int, int, Links, Channels]


class Group:
    """Some machines: `machines` are their numbers, shape (n,), and `chosen` the same for rows.

    place: the same for all, but for a moment while an order sends them to different ones; links: the places after the
    calls that have not come back, the last one last; channels: the same for all; registers: values, in the order of
    the sheet, then the key; address: that on which the order at hand works; instructions, cycles: what they have all
    done since it was last written down; most: no machine has obeyed more in this run; halts: whether the order at hand
    stops them.
    """

    __slots__ = (
        "address",
        "channels",
        "chosen",
        "cycles",
        "halts",
        "instructions",
        "links",
        "machines",
        "most",
        "place",
        "registers",
    )

    def __init__(
        self, machines: Array, place: int, links: Links, channels: Channels, registers: list[Value]
    ) -> None:
        self.machines = machines
        self.chosen: Chosen = machines
        self.place: Value = place
        self.links = links
        self.channels = channels
        self.registers = registers
        self.address: Value = 0
        self.instructions = self.cycles = self.most = 0
        self.halts = False

    def __len__(self) -> int:
        return len(self.machines)

    @property
    def turn(self) -> Turn:
        """What decides whose turn it is: the least goes first."""
        assert isinstance(self.place, int), "an order has sent them on"
        return -len(self.links), self.place, self.links, self.channels

    def part(self, which: Array) -> "Group":
        """Those of the group at these positions in it."""
        part = Group(
            self.machines[which],
            0,
            self.links,
            self.channels,
            [values.part(each, which) for each in self.registers],
        )
        part.place = values.part(self.place, which)
        part.address = values.part(self.address, which)
        part.instructions, part.cycles, part.most = self.instructions, self.cycles, self.most
        part.halts = self.halts
        return part

    def keep(self, which: Array) -> None:
        """Let go all but those at these positions."""
        kept = self.part(which)
        for name in self.__slots__:
            setattr(self, name, getattr(kept, name))


def joined(groups: Sequence[Group], count: int, number_type: np.dtype[Any]) -> Group:
    """One group out of several with the same turn, whose counts have been written down; `count` machines are all."""
    first = groups[0]
    sizes = [len(group) for group in groups]
    machines = np.concatenate([group.machines for group in groups])
    registers = [
        values.joined([group.registers[number] for group in groups], sizes, number_type)
        for number in range(len(first.registers))
    ]
    if len(machines) == count:  # in the order of their numbers: rows then need no choosing
        order = np.empty(count, dtype=np.intp)
        order[machines] = np.arange(count)
        registers = [values.part(each, order) for each in registers]
        machines = np.arange(count)
    assert isinstance(first.place, int), "groups wait at one place each"
    whole = Group(machines, first.place, first.links, first.channels, registers)
    whole.most = max(group.most for group in groups)
    if len(machines) == count:
        whole.chosen = slice(None)
    return whole
