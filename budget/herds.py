"""Machines with the same program in many states, whatever runs them: what a search through all states needs of them.

They run side by side on arrays, those of our own orders and those of an order sheet.
"""

from abc import ABC, abstractmethod
from collections.abc import Mapping, Sequence
from typing import Protocol, cast

import numpy as np
import numpy.typing as npt

from budget.card import ORDER_SHEET
from budget.machine.fleet import Fleet
from budget.machine.program import Program
from budget.machine.rows import Value
from budget.machine.states import STATUSES, States
from budget.machine.watched import WatchedRows
from budget.target.fleet import TargetFleet

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

    def put(self, words: Mapping[int, int]) -> None:
        """Put words, by their addresses, into every store."""
        ...

    def word(self, address: int) -> Value:
        """The word of an address in each machine."""
        ...

    def told(self, matters: Flags) -> list[bytes]:
        """For each all that decides what it will do, of words those that matter.

        What is in A does not, in our own orders: to input overwrites it.
        """
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
        return SheetHerd(TargetFleet.loaded(program, 1, fill=fill, watched=watched))
    rows = WatchedRows.watching(program.store(fill), program.card.word_bits, 1, watched)
    return OwnHerd(Fleet(States(program.card, rows, program.start, None)))


class ArrayHerd(ABC):
    """Machines of a fleet, whatever their orders are."""

    def __init__(self, fleet: Fleet | TargetFleet) -> None:
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
        return type(self)(self._fleet.chosen(np.asarray(numbers, dtype=np.intp)))

    def watch(self, words: Flags) -> None:
        """As in `Herd`."""
        self._rows.watch(words)

    def put(self, words: Mapping[int, int]) -> None:
        """As in `Herd`."""
        rows = self._rows
        for address, word in words.items():
            if not rows.has_row(address):
                rows.make_row(address)
            rows.write(address, slice(None), word)

    def word(self, address: int) -> Value:
        """As in `Herd`."""
        return self._rows.read(address, slice(None))

    @abstractmethod
    def told(self, matters: Flags) -> list[bytes]:
        """As in `Herd`."""

    def stands(self, number: int) -> tuple[str, str]:
        """As in `Herd`."""
        states = self._fleet.states
        return STATUSES[int(states.status[number])], states.fault(number)

    def written(self) -> Flags:
        """As in `Herd`."""
        return self._fleet.states.written


class OwnHerd(ArrayHerd):
    """Machines of our own orders."""

    def told(self, matters: Flags) -> list[bytes]:
        """As in `Herd`."""
        states, rows = cast(Fleet, self._fleet).states, self._rows
        kept = matters[rows.addresses()]
        registers = [getattr(states, name) for name in ("place", "m", "carry")]
        columns = np.column_stack([*registers, rows.columns()[:, kept]]).astype(np.uint64)
        addresses = rows.addresses()[kept].tobytes()
        return [
            row.tobytes() + addresses + repr(states.links(number)).encode()
            for number, row in enumerate(columns)
        ]


class SheetHerd(ArrayHerd):
    """Machines of an order sheet."""

    def told(self, matters: Flags) -> list[bytes]:
        """As in `Herd`."""
        return cast(TargetFleet, self._fleet).told(matters)
