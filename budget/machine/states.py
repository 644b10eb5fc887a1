"""How each of many machines stands when none of them runs: its registers, its store and what it has done."""

from collections.abc import Iterator
from typing import TypeVar

import numpy as np

from budget.card import CostCard
from budget.machine.group import LOST, Group
from budget.machine.hurried import Hurried
from budget.machine.rows import Array, Rows
from budget.machine.simulator import FAULT, HALTED, LIMIT, RUNNING, WAITING
from budget.machine.values import same

STATUSES = (RUNNING, HALTED, WAITING, LIMIT, FAULT)
"""How a machine stands, by the number that `States.status` has for it."""
T = TypeVar("T")
IS_RUNNING, IS_HALTED, IS_WAITING, IS_AT_LIMIT, IS_FAULTY = range(5)


class States:
    """`count` machines.

    status: an index of `STATUSES`; place, a, m, carry: registers; instructions, cycles, characters_in: what each has
    done so far; all of shape (count,).  touched, written: which words any machine has worked on or written, (store,).
    """

    def __init__(self, card: CostCard, rows: Rows, start: int, angle: int | None) -> None:
        count = rows.count
        self.card = card
        self.rows = rows
        self.status = np.zeros(count, dtype=np.uint8)
        self.place = np.full(count, start, dtype=np.intp)
        self.a = np.zeros(count, dtype=rows.word_type)
        self.m = np.zeros(count, dtype=np.int64)
        self.carry = np.zeros(count, dtype=np.uint8)
        self.instructions = np.zeros(count, dtype=np.int64)
        self.cycles = np.zeros(count, dtype=np.int64)
        self.characters_in = np.zeros(count, dtype=np.int64)
        self.touched = np.zeros(card.store_words, dtype=np.bool_)
        self.written = np.zeros(card.store_words, dtype=np.bool_)
        self.keeps_angle = angle is not None
        self._angle = np.full(count, LOST if angle is None else angle, dtype=np.int64)
        self._links = np.zeros(count, dtype=np.intp)
        self._all_links: list[tuple[int, ...]] = [()]
        self._fault = np.zeros(count, dtype=np.intp)
        self._all_faults: list[str] = [""]

    def chosen(self, machines: Array) -> "States":
        """Some machines as they stand, each as often as it is named; what they have touched is forgotten."""
        other = States(self.card, self.rows.chosen(machines), 0, 0 if self.keeps_angle else None)
        for name in ("status", "place", "a", "m", "carry", "instructions", "cycles", "characters_in"):
            setattr(other, name, getattr(self, name)[machines])
        other._angle, other._links = self._angle[machines], self._links[machines]
        other._all_links = list(self._all_links)
        other._fault, other._all_faults = self._fault[machines], list(self._all_faults)
        return other

    def fault(self, machine: int) -> str:
        """What has stopped a machine, in words; nothing if no fault has."""
        return self._all_faults[int(self._fault[machine])]

    def links(self, machine: int) -> tuple[int, ...]:
        """The links of a machine, the last one last."""
        return self._all_links[int(self._links[machine])]

    def codes(self) -> Array:
        """All that decides what a machine will do, as numbers: equal rows will do the same.  Shape (count, k).

        Only words that some machine of these has written are among them, and not where the store stands if it turns.
        """
        registers = (self.status, self.place, self.a, self.m, self.carry, self._links, self._fault)
        columns = [each[:, None].astype(np.uint64) for each in registers]
        return np.hstack([*columns, self.rows.columns().astype(np.uint64)])

    # -- to and from a machine by itself -------------------------------------------------------

    def alone(self, machine: int) -> Hurried:
        """A machine taken out as it stands, its store not being one that turns; it counts from nothing."""
        one = Hurried(self.card, self.rows.of(machine), int(self.place[machine]))
        one.a, one.m, one.carry = int(self.a[machine]), int(self.m[machine]), int(self.carry[machine])
        one.links = list(self.links(machine))
        return one

    def put_back(self, machine: int, one: Hurried) -> None:
        """Write down how a machine stands that was taken out, and what it has done."""
        here, rows = np.array([machine]), self.rows
        for address in sorted(one.read_first.union(filter(rows.has_row, one.obeyed))):
            rows.read(address, here)  # it may be watched
        for address in sorted(one.written):
            if not rows.has_row(address):
                rows.make_row(address)
            rows.write(address, here, one.store[address])
        self.touched[list(one.touched)] = True
        self.written[list(one.written)] = True
        self.status[machine] = STATUSES.index(one.status)
        self.place[machine], self.a[machine], self.m[machine] = one.place, one.a, one.m
        self.carry[machine] = one.carry
        self.instructions[machine] += one.instructions
        self.cycles[machine] += one.clock.cycles
        self.characters_in[machine] += one.characters_in
        self._links[machine] = _number(self._all_links, tuple(one.links))
        self._fault[machine] = _number(self._all_faults, one.fault)

    # -- to and from groups -------------------------------------------------------------------

    def park(self, group: Group, status: int, fault: str = "") -> None:
        """Write down how a group stands that goes no further in this run."""
        machines = group.machines
        self.write_down(group)
        self.status[machines] = status
        self.place[machines] = group.place
        self.a[machines] = group.a
        self.m[machines] = group.m
        self.carry[machines] = group.carry_value()
        self._angle[machines] = group.angle
        self._links[machines] = _number(self._all_links, group.links)
        self._fault[machines] = _number(self._all_faults, fault)

    def write_down(self, group: Group) -> None:
        """Write down what a group has done, and let it count from nothing again."""
        self.instructions[group.machines] += group.instructions
        self.cycles[group.machines] += group.cycles
        group.instructions = group.cycles = 0

    def groups(self, machines: Array) -> Iterator[Group]:
        """Some machines, put together where they stand at the same place with the same links."""
        if not len(machines):
            return
        where = np.stack([self.place[machines], self._links[machines]], axis=1)
        kinds, kind = np.unique(where, axis=0, return_inverse=True)
        for number, (place, links) in enumerate(kinds):
            here = machines[kind.reshape(-1) == number]
            group = Group(here, int(place), self._all_links[int(links)])
            group.a, group.m, group.angle = (same(each[here]) for each in (self.a, self.m, self._angle))
            group.carry = (same(self.carry[here]), 1, True)
            if len(here) == self.rows.count:
                group.chosen = slice(None)
            yield group


def _number(known: list[T], wanted: T) -> int:
    """The place of something in a list, to which it is added if it is new."""
    if wanted not in known:
        known.append(wanted)
    return known.index(wanted)
