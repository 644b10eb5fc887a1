"""The operands of a group of machines: which words an instruction works on, and what it costs to get at them."""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np

from budget.machine.group import LOST, Group
from budget.machine.layout import NoSuchAddress
from budget.machine.orders import Operand
from budget.machine.rows import Array, Value
from budget.machine.simulator import KEEPS_M, WRITES
from budget.machine.states import IS_FAULTY, States


class Ready(NamedTuple):
    """An instruction made ready: its order, its operand before M, and its cycles, the turning of the store apart.

    modulus: what the operand counts modulo; first_word, words: where it lies; next_place: the place after it.
    """

    name: str
    operand: int
    modulus: int
    next_place: int
    first_word: int
    words: int
    cycles: int


class Operands:
    """Finds, reads and writes the words that groups of the machines of `states` work on.

    forget: told each word in which machines may differ from now on.
    """

    def __init__(self, states: States, forget: Callable[[int], None]) -> None:
        card = states.card
        self._states = states
        self._rows = states.rows
        self._forget = forget
        self._bits = card.word_bits
        self._mask = (1 << card.word_bits) - 1
        self._cut = self._mask if self._rows.word_type.itemsize * 8 > card.word_bits else 0
        self._store_words = card.store_words
        self._writable = card.first_fixed
        self._address_mask = card.program.layout.modulus(Operand.WORD) - 1
        self._turning = card.program.pace.turning if card.program.pace else None

    def _effective(self, group: Group, ready: Ready) -> Value:
        """The operand with M."""
        if isinstance(group.m, int):
            return (ready.operand + group.m) % ready.modulus if group.m else ready.operand % ready.modulus
        return (group.m + ready.operand) & (ready.modulus - 1)

    def _signed(self, value: Value) -> Value:
        """A word as a number with its sign."""
        half = 1 << self._bits - 1
        if isinstance(value, int):
            return (value ^ half) - half
        return (value.astype(np.int64) ^ half) - half

    def _count(self, group: Group, ready: Ready, *addresses: Value) -> None:
        """Count an instruction that will be obeyed, and let the store turn to the words that it needs."""
        group.instructions += 1
        group.most += 1
        if self._turning is not None:
            for address in range(ready.first_word, ready.first_word + ready.words):
                self._turn_to(group, address)
            for operand in addresses:
                self._turn_to(group, operand)
            if not (isinstance(group.angle, int) and group.angle == LOST):
                group.angle = (group.angle + ready.cycles) % self._turning.words
        group.cycles = group.cycles + ready.cycles
        group.place = ready.next_place
        if ready.name not in KEEPS_M:
            group.m = 0

    def _turn_to(self, group: Group, address: Value) -> None:
        """Wait for a word to come by, and pass."""
        assert self._turning is not None
        words = self._turning.words
        angle = address * self._turning.spacing % words
        waited: Value = (angle - group.angle) % words
        if isinstance(group.angle, int):
            waited = words - 1 if group.angle == LOST else waited
        else:
            waited = np.where(group.angle == LOST, words - 1, waited)
        group.cycles = group.cycles + waited + 1
        group.angle = (angle + 1) % words

    def _word(self, group: Group, ready: Ready, further: Value = 0) -> Value | None:
        """The address that an instruction works on; machines for which it is none stop, None if that is all of them."""
        address = self._effective(group, ready)
        if not isinstance(further, int) or further:
            total: Value = address + further
            address = total & self._address_mask
        writes = ready.name in WRITES
        most = self._store_words
        if isinstance(address, int):
            if address >= most:
                self._states.park(group, IS_FAULTY, str(NoSuchAddress(address)))
                return None
            if writes and address >= self._writable:
                self._states.park(group, IS_FAULTY, f"fixed store: {address}")
                return None
            self._states.touched[address] = True
            return address
        return self._sound(group, address, writes=writes)

    def _sound(self, group: Group, addresses: Array, *, writes: bool) -> Value | None:
        """The same for an address of each machine."""
        limit = self._writable if writes else self._store_words
        if int(addresses.max()) >= limit:
            wrong = addresses >= limit
            for address in np.unique(addresses[wrong]).tolist():
                outside = address >= self._store_words
                fault = str(NoSuchAddress(address)) if outside else f"fixed store: {address}"
                self._states.park(group.part(np.flatnonzero(addresses == address)), IS_FAULTY, fault)
            kept = np.flatnonzero(~wrong)
            if not len(kept):
                return None
            group.keep(kept)
            addresses = addresses[kept]
        self._states.touched[addresses] = True
        return addresses

    def _read(self, group: Group, address: Value) -> Value:
        if isinstance(address, int):
            return self._rows.read(address, group.chosen)
        return self._rows.read_each(address, group.machines)

    def _write(self, group: Group, address: Value, value: Value) -> None:
        self._states.written[address] = True
        for each in (address,) if isinstance(address, int) else np.unique(address).tolist():
            if not self._rows.has_row(each):
                self._rows.make_row(each)
                self._forget(each)
        if isinstance(address, int):
            self._rows.write(address, group.chosen, value)
        else:
            self._rows.write_each(address, group.machines, value)

    def _masked(self, value: Value) -> Value:
        """A word without what is too long for it."""
        if isinstance(value, int):
            return value & self._mask
        return value & self._cut if self._cut else value
