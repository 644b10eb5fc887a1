"""What groups of machines of an order sheet ask for while they obey: words, keys, the printer, and where to go on."""

from collections.abc import Callable

import numpy as np

from budget.machine.layout import NoSuchAddress
from budget.machine.rows import Array, Value
from budget.machine.states import IS_FAULTY, IS_HALTED, IS_WAITING
from budget.machine.values import same
from budget.target.group import Group
from budget.target.lockstep import NOBODY, Onward
from budget.target.states import States

MOST_LINKS = 16
"""Calls that are remembered.  They say who waits for whom, and nothing else hangs on them."""
Steps = Callable[["Obeying", Group], Onward]


class Obeying:
    """Serves the functions that `budget.target.lockstep` makes, for the machines of `states`.

    codes: what each machine is going to read, shape (count, k), the first `lengths` of each row; keys_read: how many of
    them it has read; sends: the bits of a code that go out; sent: what has gone out, as (machines, codes) in the order
    of time; forget: told each word in which machines may differ from now on.
    """

    def __init__(
        self, states: States, codes: Array, lengths: Array, sends: int, forget: Callable[[int], None]
    ) -> None:
        self._states = states
        self._rows = states.rows
        self._codes, self._lengths = codes, lengths
        self.keys_read = np.zeros(len(lengths), dtype=np.intp)
        self._sends = sends
        self._forget = forget
        self._has_row = np.zeros(len(states.touched), dtype=np.bool_)
        self._has_row[states.rows.addresses()] = True
        self._is_wide = states.rows.word_type == np.object_
        self.sent: list[tuple[Array, Value]] = []

    # -- words --------------------------------------------------------------------------------

    def read(self, group: Group, address: Value) -> Value:
        """The word of an address."""
        if isinstance(address, int):
            self._states.touched[address] = True
            return self._rows.read(address, group.chosen)
        addresses = self._numbers(address)
        self._states.touched[addresses] = True
        return self._rows.read_each(addresses, group.machines)

    def write(self, group: Group, address: Value, value: Value) -> None:
        """Write the word of an address."""
        if isinstance(address, int):
            if not self._has_row[address]:
                self._make_row(address)
            self._rows.write(address, group.chosen, value)
        else:
            address = self._numbers(address)
            for each in set(address[~self._has_row[address]].tolist()):
                self._make_row(each)
            self._rows.write_each(address, group.machines, value)
        self._states.touched[address] = self._states.written[address] = True

    def _make_row(self, address: int) -> None:
        self._has_row[address] = True
        self._rows.make_row(address)
        self._forget(address)

    def _numbers(self, address: Array) -> Array:
        return address.astype(np.intp) if self._is_wide else address

    def sound(self, group: Group, address: Value, place: int, cycles: int) -> bool:
        """Stop the machines for which this is no address; whether any are left."""
        words = len(self._has_row)
        if isinstance(address, int):
            if address >= words:
                self.stopped(group, place, cycles, self.no_such_word(address))
                return False
        elif (address >= words).any():
            for each in np.unique(address[address >= words]).tolist():
                part = group.part(np.flatnonzero(address == each))
                self.stopped(part, place, cycles, self.no_such_word(each))
            group.keep(np.flatnonzero(address < words))
            address = address[address < words]
        if len(group):
            self._states.touched[address if isinstance(address, int) else self._numbers(address)] = True
        return len(group) > 0

    # -- where to go on -----------------------------------------------------------------------

    def agreed(self, holds: Array) -> Array | bool:
        """Whether something holds for all of them, or for none; or for which."""
        how_many = int(np.count_nonzero(holds))
        return holds if 0 < how_many < len(holds) else how_many > 0

    def parted(self, group: Group, holds: Array, then: Steps, rest: Steps) -> tuple[Group, ...]:
        """Let those of a group for which something holds do other steps than the rest."""
        some = group.part(np.flatnonzero(holds))
        group.keep(np.flatnonzero(~holds))
        return (*_whole(some, then(self, some)), *_whole(group, rest(self, group)))

    def led(self, group: Group) -> Onward:
        """Let a group go on where an order has sent each of its machines."""
        place = group.place
        if not isinstance(place, int):
            place = same(place)
            if not isinstance(place, int):
                return self._led_apart(group, place)
            group.place = place
        if place in group.links:
            group.links = group.links[: group.links.index(place)]
        return None

    def _led_apart(self, group: Group, places: Array) -> tuple[Group, ...]:
        onward = []
        for place in np.unique(places).tolist():
            part = group.part(np.flatnonzero(places == place))
            part.place = place
            self.led(part)
            onward.append(part)
        return tuple(onward)

    def called(self, group: Group, link: int) -> Onward:
        """The same, after an order that has left the place after it in a word."""
        group.links = (*group.links[1 - MOST_LINKS :], link)
        return self.led(group)

    # -- who goes no further ------------------------------------------------------------------

    def no_such_word(self, address: int) -> str:
        """The fault of machines that work on a word which there is not."""
        return str(NoSuchAddress(address))

    def stopped(self, group: Group, place: int, cycles: int, fault: str) -> tuple[Group, ...]:
        """Stop a group at an order that is not obeyed to its end, and does not count."""
        self._park(group, place, cycles, IS_FAULTY, fault)
        return NOBODY

    def halted(self, group: Group) -> tuple[Group, ...]:
        """Stop a group at the end of an order that has said so."""
        self._states.park(group, IS_HALTED)
        return NOBODY

    def _park(self, group: Group, place: int, cycles: int, status: int, fault: str = "") -> None:
        group.place = place
        group.instructions -= 1
        group.cycles -= cycles
        self._states.park(group, status, fault)

    # -- keyboard and printer -----------------------------------------------------------------

    def await_key(self, group: Group, place: int, cycles: int) -> bool:
        """Stop those that no key waits for, and let the others have theirs; whether any are left."""
        is_typed, is_ready, is_printing = group.channels
        if is_typed:
            return True
        machines = group.machines
        has = self.keys_read[machines] < self._lengths[machines]
        if not has.all():
            self._park(group.part(np.flatnonzero(~has)), place, cycles, IS_WAITING)
            group.keep(np.flatnonzero(has))
            machines = group.machines
        group.registers[-1] = self._codes[machines, self.keys_read[machines]]
        self.keys_read[machines] += 1
        group.channels = (True, is_ready, is_printing)
        return len(group) > 0

    def forget_typed(self, group: Group) -> None:
        """Let no key wait."""
        group.channels = (False, *group.channels[1:])

    def forget_printed(self, group: Group) -> None:
        """Let nobody know that the printer is ready."""
        group.channels = (group.channels[0], False, group.channels[2])

    def await_printer(self, group: Group) -> bool:
        """Whether the printer has finished a character; it has, as soon as it is asked."""
        is_typed, is_ready, is_printing = group.channels
        group.channels = (is_typed, is_ready or is_printing, False)
        return group.channels[1]

    def is_printing(self, group: Group) -> bool:
        """Whether nobody has asked if the last character is done."""
        return group.channels[2]

    def send(self, group: Group, code: Value) -> None:
        """Print a character."""
        group.channels = (*group.channels[:2], True)
        self.sent.append((group.machines, code & self._sends))


def _whole(group: Group, onward: Onward) -> tuple[Group, ...]:
    return (group,) if onward is None else onward
