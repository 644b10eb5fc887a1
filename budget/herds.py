"""Machines with the same program in many states, whatever runs them: what a search through all states needs of them.

Machines of our own orders run side by side on arrays; those of an order sheet one after another, from snapshots.
"""

from collections.abc import Iterable, Sequence
from typing import Any, Protocol, SupportsIndex, cast

import numpy as np
import numpy.typing as npt

from budget.card import ORDER_SHEET
from budget.machine.fleet import Fleet
from budget.machine.program import Program
from budget.machine.simulator import FAULT
from budget.machine.states import STATUSES, States
from budget.machine.watched import WatchedRows
from budget.target.machine import Snapshot, TargetMachine

Flags = npt.NDArray[np.bool_]
Counts = npt.NDArray[np.int64]


class Herd(Protocol):
    """Some machines, each as it stands.

    sent: what each has sent in the last run; took: instructions and cycles that it took, (n, 2).
    """

    sent: list[list[int]]
    took: Counts

    @property
    def leftover(self) -> Flags:
        """(store,): the watched words that some of them has read before it wrote them in the last run."""
        ...

    def __len__(self) -> int: ...

    def run(self, typed: Sequence[Sequence[int]], limit: int) -> None:
        """Let each machine read what was typed for it, until it stands still."""
        ...

    def chosen(self, numbers: Sequence[int]) -> "Herd":
        """Some of them, each as often as it is named."""
        ...

    def watch(self, words: Flags) -> None:
        """Watch these words from now on."""
        ...

    def told(self, matters: Flags) -> list[bytes]:
        """For each all that decides what it will do, of words those that matter; what is in A does not."""
        ...

    def stands(self, number: int) -> tuple[str, str]:
        """How one stands, and the fault that has stopped it, if any."""
        ...

    def written(self) -> Flags:
        """(store,): the words that some of them has written since it was loaded."""
        ...


def loaded(program: Program, fill: int, watched: Flags) -> Herd:
    """One machine into which a program was loaded; `fill` stands wherever it leaves the store alone."""
    if program.card.programs == ORDER_SHEET:
        return SheetHerd.loaded(program, fill, watched)
    rows = WatchedRows.watching(program.store(fill), program.card.word_bits, 1, watched)
    return ArrayHerd(Fleet(States(program.card, rows, program.start, None)))


class ArrayHerd:
    """Machines of our own orders."""

    def __init__(self, fleet: Fleet) -> None:
        self._fleet = fleet
        self.sent: list[list[int]] = [[] for _ in range(len(fleet))]
        self.took: Counts = np.zeros((len(fleet), 2), dtype=np.int64)

    def __len__(self) -> int:
        return len(self._fleet)

    @property
    def _rows(self) -> WatchedRows:
        return cast(WatchedRows, self._fleet.states.rows)

    @property
    def leftover(self) -> Flags:
        """As in `Herd`."""
        return self._rows.leftover

    def run(self, typed: Sequence[Sequence[int]], limit: int) -> None:
        """As in `Herd`."""
        states = self._fleet.states
        before = np.column_stack([states.instructions, states.cycles])
        self._fleet.run(typed, limit)
        self.sent = self._fleet.sent
        self.took = np.column_stack([states.instructions, states.cycles]) - before

    def chosen(self, numbers: Sequence[int]) -> "ArrayHerd":
        """As in `Herd`."""
        return ArrayHerd(self._fleet.chosen(numbers))

    def watch(self, words: Flags) -> None:
        """As in `Herd`."""
        self._rows.watch(words)

    def told(self, matters: Flags) -> list[bytes]:
        """As in `Herd`."""
        states, rows = self._fleet.states, self._rows
        kept = matters[rows.addresses()]
        registers = [getattr(states, name) for name in ("place", "m", "carry")]
        columns = np.column_stack([*registers, rows.columns()[:, kept]]).astype(np.uint64)
        addresses = rows.addresses()[kept].tobytes()
        return [
            row.tobytes() + addresses + repr(states.links(number)).encode()
            for number, row in enumerate(columns)
        ]

    def stands(self, number: int) -> tuple[str, str]:
        """As in `Herd`."""
        states = self._fleet.states
        return STATUSES[int(states.status[number])], states.fault(number)

    def written(self) -> Flags:
        """As in `Herd`."""
        return self._fleet.states.written


class WatchedStore(list[int]):
    """A store that notices reading of watched words before they are written."""

    def __init__(self, words: Iterable[int]) -> None:
        super().__init__(words)
        self.fresh: set[int] = set()
        self.leftover: set[int] = set()

    def __getitem__(self, address: Any) -> Any:
        if address in self.fresh:
            self.leftover.add(address)
        return super().__getitem__(address)

    def __setitem__(self, address: SupportsIndex | slice, word: Any) -> None:
        self.fresh.discard(cast(int, address))
        super().__setitem__(address, word)


class SheetHerd:
    """Machines of an order sheet: one that is set to each state in turn."""

    def __init__(self, machine: TargetMachine, snapshots: Sequence[Snapshot], watched: Flags) -> None:
        self._machine = machine
        self._snapshots = list(snapshots)
        self._faults = [""] * len(snapshots)
        self.sent: list[list[int]] = [[] for _ in snapshots]
        self.took: Counts = np.zeros((len(snapshots), 2), dtype=np.int64)
        self.watch(watched)

    @classmethod
    def loaded(cls, program: Program, fill: int, watched: Flags) -> "SheetHerd":
        """One machine into which a program was loaded."""
        machine = TargetMachine(program.card, WatchedStore(program.store(fill)), program.start)
        return cls(machine, [machine.snapshot()], watched)

    def __len__(self) -> int:
        return len(self._snapshots)

    def run(self, typed: Sequence[Sequence[int]], limit: int) -> None:
        """As in `Herd`."""
        machine, store = self._machine, cast(WatchedStore, self._machine.store)
        took = []
        for number, snapshot in enumerate(self._snapshots):
            machine.restore(snapshot)
            machine.passed.clear()
            machine.feed(typed[number] if len(typed) else ())
            store.fresh, store.leftover = set(self._watched), set()
            before = machine.instructions, machine.clock.cycles
            machine.run(limit)
            self._leftover[list(store.leftover)] = True
            store.fresh = set()
            took.append((machine.instructions - before[0], machine.clock.cycles - before[1]))
            self.sent[number] = list(machine.passed)
            self._snapshots[number], self._faults[number] = machine.snapshot(), machine.fault
        self.took = np.array(took, dtype=np.int64).reshape(-1, 2)

    def chosen(self, numbers: Sequence[int]) -> "SheetHerd":
        """As in `Herd`."""
        return SheetHerd(self._machine, [self._snapshots[number] for number in numbers], self._flags)

    def watch(self, words: Flags) -> None:
        """As in `Herd`."""
        self._flags = words
        self._watched = frozenset(np.flatnonzero(words).tolist())
        self._leftover: Flags = np.zeros(len(words), dtype=np.bool_)

    @property
    def leftover(self) -> Flags:
        """As in `Herd`."""
        return self._leftover

    def told(self, matters: Flags) -> list[bytes]:
        """As in `Herd`."""
        accumulator = self._machine.accumulator
        found = []
        for snapshot in self._snapshots:
            registers = [each for number, each in enumerate(snapshot.registers) if number != accumulator]
            store = [pair for pair in snapshot.store if matters[pair[0]]]
            found.append(repr((snapshot.place, registers, snapshot.channels, store)).encode())
        return found

    def stands(self, number: int) -> tuple[str, str]:
        """As in `Herd`."""
        status = self._snapshots[number].status
        return status, self._faults[number] if status == FAULT else ""

    def written(self) -> Flags:
        """As in `Herd`."""
        flags = np.zeros(len(self._machine.store), dtype=np.bool_)
        flags[list(self._machine.written)] = True
        return flags
