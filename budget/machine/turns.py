"""Groups of machines that take turns: whose turn it is, where a group stops, and what a run begins and ends with."""

from collections.abc import Iterable, Sequence
from heapq import heappop, heappush
from typing import Any, Generic, Protocol, Self, TypeVar

import numpy as np

from budget.machine.rows import Array
from budget.machine.states import IS_AT_LIMIT


class TakesTurns(Protocol):
    """A group of machines; the least `turn` goes first.  `most`: no machine has obeyed more in this run."""

    machines: Array
    most: int

    @property
    def turn(self) -> tuple[Any, ...]:
        """What decides whose turn it is."""

    def part(self, which: Array) -> Self:
        """Those at these positions in it."""

    def keep(self, which: Array) -> None:
        """Let go all but those at these positions."""


G = TypeVar("G", bound=TakesTurns)
G_contra = TypeVar("G_contra", bound=TakesTurns, contravariant=True)


class HowTheyStand(Protocol[G_contra]):
    """How machines stand between turns."""

    instructions: Array

    def write_down(self, group: G_contra) -> None:
        """Write down what a group has done, and let it count from nothing again."""

    def park(self, group: G_contra, status: int) -> None:
        """Write down how a group stands that goes no further in this run."""


class Turns(Generic[G]):
    """Groups that wait for their turn.  queue: the turns that are waited for, a heap."""

    def __init__(self) -> None:
        self.queue: list[tuple[Any, ...]] = []
        self._groups: dict[tuple[Any, ...], list[G]] = {}

    def wait(self, group: G) -> bool:
        """Let a group wait; whether it is the only one that waits for this turn."""
        turn = group.turn
        if turn in self._groups:
            self._groups[turn].append(group)
            return False
        self._groups[turn] = [group]
        heappush(self.queue, turn)
        return True

    def next(self) -> list[G]:
        """The groups whose turn it is, which wait no more."""
        return self._groups.pop(heappop(self.queue))


def stop_at(limit: int, group: G, before: Array, states: HowTheyStand[G]) -> bool:
    """Stop the machines of a group that have obeyed so many in this run; whether any are left in it.

    before: what each machine had obeyed when the run began, shape (count,).
    """
    states.write_down(group)
    done = states.instructions[group.machines] - before[group.machines]
    reached = done >= limit
    if reached.any():
        states.park(group.part(np.flatnonzero(reached)), IS_AT_LIMIT)
    if reached.all():
        return False
    group.keep(np.flatnonzero(~reached))
    group.most = int(done[~reached].max())
    return True


def to_read(codes: Sequence[Sequence[int]] | Array, count: int, kind: np.dtype[Any]) -> tuple[Array, Array]:
    """What each machine reads in a run: how many codes, shape (count,), and the codes, shape (count, most + 1).

    codes: a row for each machine; none at all if nothing is read.  Raises ValueError for another number of rows.
    """
    if not len(codes):
        codes = [()] * count
    if len(codes) != count:
        raise ValueError(f"{len(codes)} inputs for {count} machines")
    lengths = np.array([len(row) for row in codes], dtype=np.intp)
    table = np.zeros((count, int(lengths.max(initial=0)) + 1), dtype=kind)
    if isinstance(codes, np.ndarray):
        table[:, :-1] = codes
    else:
        table[np.arange(table.shape[1]) < lengths[:, None]] = [code for row in codes for code in row]
    return lengths, table


def sorted_by_machine(sent: Iterable[tuple[Array, Array | int]], count: int) -> list[list[int]]:
    """What each machine has sent, in the order of time; sent: machines with the code of each, or of all."""
    found: list[list[int]] = [[] for _ in range(count)]
    for machines, codes in sent:
        each = [codes] * len(machines) if isinstance(codes, int) else codes.tolist()
        for machine, code in zip(machines.tolist(), each, strict=True):
            found[machine].append(code)
    return found
