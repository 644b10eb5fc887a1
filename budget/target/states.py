"""How each of many machines of an order sheet stands when none of them runs."""

from collections.abc import Iterator

import numpy as np

from budget.machine.rows import Array, Rows
from budget.machine.states import IS_RUNNING
from budget.machine.values import same
from budget.target.group import Group


class States:
    """`count` machines with these stores.

    loaded: (store,), the words as they were loaded; status: an index of `budget.machine.states.STATUSES`; place;
    registers: those of the sheet and then the key, one row each; channels: see `budget.target.group.Channels`, one row
    each; instructions, cycles: what each has done so far.  The last axis of them all is that of the machines.
    touched, written: which words any of them has worked on or written, (store,).
    """

    def __init__(self, rows: Rows, loaded: Array, place: int, registers: int) -> None:
        count = rows.count
        self.rows = rows
        self.loaded = loaded
        self.status = np.full(count, IS_RUNNING, dtype=np.uint8)
        self._fault = np.full(count, "", dtype=np.object_)
        self.place = np.full(count, place, dtype=np.intp)
        self.registers = np.zeros((registers + 1, count), dtype=rows.word_type)
        self.channels = np.zeros((3, count), dtype=np.bool_)
        self.instructions = np.zeros(count, dtype=np.int64)
        self.cycles = np.zeros(count, dtype=np.int64)
        self.touched = np.zeros(len(loaded), dtype=np.bool_)
        self.written = np.zeros(len(loaded), dtype=np.bool_)

    def chosen(self, machines: Array) -> "States":
        """Some machines as they stand, each as often as it is named; what has been touched and written stays known."""
        other = States(self.rows.chosen(machines), self.loaded, 0, len(self.registers) - 1)
        for name in ("status", "_fault", "place", "registers", "channels", "instructions", "cycles"):
            setattr(other, name, getattr(self, name)[..., machines])
        other.touched, other.written = self.touched.copy(), self.written.copy()
        return other

    def fault(self, machine: int) -> str:
        """What has stopped a machine, in words; nothing if no fault has."""
        return str(self._fault[machine])

    def standing(self, matters: Array) -> list[bytes]:
        """For each machine all that decides what it will do, but for the words that do not matter.

        matters: (store,) flags.  Of the words only those are told that are not as they were loaded.
        """
        addresses = self.rows.addresses()
        kept = matters[addresses]
        addresses = addresses[kept]
        words = self.rows.columns()[:, kept].astype(np.int64)
        registers = self.registers.astype(np.int64)
        registers[-1] *= self.channels[0]  # the code of a key is nothing any more once it was forgotten
        numbers = np.hstack([self.place[:, None], registers.T, self.channels.T])
        changed = np.where(words == self.loaded[addresses].astype(np.int64), -1, words)
        whole = np.hstack([numbers, changed])
        size = whole.shape[1] * whole.itemsize
        text = whole.tobytes()
        told: dict[bytes, bytes] = {}
        found = []
        for begin in range(0, len(text), size):
            key = text[begin : begin + size]
            if key not in told:
                row = whole[begin // size, numbers.shape[1] :]
                told[key] = key[: -row.nbytes or None] + _pairs(addresses, row)
            found.append(told[key])
        return found

    # -- to and from groups -------------------------------------------------------------------

    def park(self, group: Group, status: int, fault: str = "") -> None:
        """Write down how a group stands that goes no further in this run."""
        machines = group.machines
        self.write_down(group)
        self.status[machines] = status
        self._fault[machines] = fault
        self.place[machines] = group.place
        for number, value in enumerate(group.registers):
            self.registers[number, machines] = value
        for number, is_set in enumerate(group.channels):
            self.channels[number, machines] = is_set

    def write_down(self, group: Group) -> None:
        """Write down what a group has done, and let it count from nothing again."""
        self.instructions[group.machines] += group.instructions
        self.cycles[group.machines] += group.cycles
        group.instructions = group.cycles = 0

    def groups(self, machines: Array) -> Iterator[Group]:
        """Some machines, put together where they stand at the same place with the same channels."""
        if not len(machines):
            return
        where = np.vstack([self.place[machines], self.channels[:, machines]])
        kinds, kind = np.unique(where, axis=1, return_inverse=True)
        for number, (place, typed, printed, printing) in enumerate(kinds.T.tolist()):
            here = machines[kind.reshape(-1) == number]
            registers = [same(each[here]) for each in self.registers]
            group = Group(here, place, (), (bool(typed), bool(printed), bool(printing)), registers)
            if len(here) == self.rows.count:
                group.chosen = slice(None)
            yield group


def _pairs(addresses: Array, words: Array) -> bytes:
    """The addresses and words that are not -1."""
    return repr(
        [pair for pair in zip(addresses.tolist(), words.tolist(), strict=True) if pair[1] >= 0]
    ).encode()
