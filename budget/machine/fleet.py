"""Many machines with the same program side by side: what `budget.machine.simulator` does, on arrays.

Machines that stand at the same place and have the same links form a group, and a group obeys an instruction with a
few operations on arrays.  A jump that only some take splits a group; groups that meet again become one.  The group
with the most links and then at the lowest place goes first, so that those which have fallen behind, in a subroutine or
a loop, catch up with the others.  Machines that are long at it, and seldom do the same, go on one after the other.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from budget.card import CostCard
from budget.machine.group import Group, joined
from budget.machine.layout import Fault, NoSuchAddress
from budget.machine.obeying import Orders
from budget.machine.operands import Ready
from budget.machine.program import Program
from budget.machine.rows import Array, Rows
from budget.machine.simulator import USUAL_LIMIT
from budget.machine.states import IS_AT_LIMIT, IS_FAULTY, IS_HALTED, IS_WAITING, STATUSES, States
from budget.machine.turns import Turns, sorted_by_machine, stop_at, to_read

LONG, LONGER = 1_000, 4
"""After so many instructions, and each time after so many times as many, it is seen whether machines do the same."""
TOGETHER = 8
"""So many machines have to obey an instruction together, or each is quicker by itself."""


class Fleet:
    """Machines that run the same program; `states` says how each stands.

    After `run`, `sent` has what each machine has sent out in that run, code by code.
    """

    def __init__(self, states: States) -> None:
        self.states = states
        self.sent: list[list[int]] = [[] for _ in range(states.rows.count)]
        self._card = states.card
        self._layout = states.card.program.layout
        self._rotates = states.card.program.pace is not None and states.card.program.pace.turning is not None
        self._ready: dict[int, Ready] = {}
        self._known = (0, 0)

    @classmethod
    def loaded(cls, program: Program, count: int, *, fill: int = 0, angle: int | None = None) -> "Fleet":
        """`count` machines into which a program was loaded; `fill` stands wherever it leaves the store alone."""
        return cls.started(program.card, program.store(fill), program.start, count, angle=angle)

    @classmethod
    def started(
        cls, card: CostCard, store: Sequence[int], start: int, count: int, *, angle: int | None = None
    ) -> "Fleet":
        """`count` machines with the same words in store, as they stand after the start key."""
        return cls(States(card, Rows.loaded(store, card.word_bits, count), start, angle))

    def __len__(self) -> int:
        return self.states.rows.count

    def chosen(self, machines: npt.ArrayLike) -> "Fleet":
        """Some machines as they stand, each as often as it is named."""
        return Fleet(self.states.chosen(np.asarray(machines, dtype=np.intp)))

    def statuses(self) -> list[str]:
        """How each machine stands, in words."""
        return [STATUSES[status] for status in self.states.status.tolist()]

    def run(self, codes: Sequence[Sequence[int]] | Array = (), limit: int = USUAL_LIMIT) -> None:
        """Let every machine obey instructions until it stands still, at most `limit` of them.

        `codes` are what each machine reads in this run, one row for each; without them, none reads anything.
        What a machine has not read by the end is forgotten.
        """
        lengths, table = to_read(codes, len(self), self.states.rows.word_type)
        self._before = self.states.instructions.copy()
        self._orders = Orders(self.states, table, lengths, self._forget)
        self._ready.clear()
        self._turns: Turns[Group] = Turns()
        going = np.flatnonzero(~np.isin(self.states.status, (IS_HALTED, IS_FAULTY)))
        self._limit = min(limit, LONG)
        while len(going):
            alike = self._obeyed_by(going)
            going = going[self.states.status[going] == IS_AT_LIMIT]
            if self._limit == limit:
                break
            if alike < TOGETHER and not self._rotates:
                for machine in going.tolist():
                    self._go_on_alone(machine, limit)
                break
            self._limit = min(limit, self._limit * LONGER)
        self.sent = sorted_by_machine(self._orders.sent, len(self))

    def _obeyed_by(self, machines: Array) -> float:
        """Let these go on up to the limit; how many of them have obeyed an instruction together, on the average."""
        before = self.states.instructions.sum()
        self._steps = 0
        for group in self.states.groups(machines):
            group.most = int((self.states.instructions - self._before)[group.machines].max())
            self._turns.wait(group)
        while self._turns.queue:
            self._advance(self._next())
        return float((self.states.instructions.sum() - before) / max(1, self._steps))

    def _go_on_alone(self, machine: int, limit: int) -> None:
        """Let one machine go on up to the limit, which it has not reached."""
        one = self.states.alone(machine)
        one.feed(self._orders.unread(machine))
        one.run(limit - int(self.states.instructions[machine] - self._before[machine]))
        self.states.put_back(machine, one)
        self._orders.pass_by(machine, one.characters_in, one.passed)

    # -- whose turn it is ---------------------------------------------------------------------

    def _next(self) -> Group:
        """The group whose turn it is: all that wait at its place are one."""
        groups = self._turns.next()
        if len(groups) == 1:
            return groups[0]
        for group in groups:
            self.states.write_down(group)
        return joined(groups, len(self), self.states.rows.word_type)

    def _advance(self, group: Group) -> None:
        """Let a group obey instructions until it stops, splits, or another is to go first."""
        queue, ready_at = self._turns.queue, self._ready
        while True:
            if group.most >= self._limit and not stop_at(self._limit, group, self._before, self.states):
                return
            ready = ready_at.get(group.place)
            if ready is None:
                ready = self._make_ready(group)
                if ready is None:
                    return
            self._steps += 1
            onward = self._orders.obey(group, ready)
            if onward is not None:
                for each in onward:
                    self._turns.wait(each)
                return
            if queue and queue[0] <= group.turn:
                self._turns.wait(group)
                return

    # -- instructions -------------------------------------------------------------------------

    def _make_ready(self, group: Group) -> Ready | None:
        """The instruction at a group's place; None if the group has stopped or split."""
        per_word, place = self._layout.places_a_word, group.place
        first = place // per_word
        if place >= self._layout.places:
            self.states.park(group, IS_FAULTY, str(NoSuchAddress(place)))
            return None
        if self._card.fixed_words and first < self._card.first_fixed:
            self.states.park(group, IS_FAULTY, f"no program here: {place}")
            return None
        words = [
            address
            for address in range(first, min(first + self._layout.most_words, self._layout.store_words))
            if self.states.rows.has_row(address)
        ]
        if words:
            self._obey_mixed(group, words)
            return None
        ready = self._decoded(group, {})
        if ready is not None:
            self._ready[place] = ready
        return ready

    def _decoded(self, group: Group, words: dict[int, int]) -> Ready | None:
        """A group's instruction, where some words are as given; None if the group has stopped."""
        rows = self.states.rows
        try:
            instruction = self._layout.decode(
                group.place, lambda address: words[address] if address in words else rows.common(address)
            )
        except Fault as fault:
            self.states.park(group, IS_FAULTY, str(fault))
            return None
        return self._orders.ready(instruction, group.place)

    def _obey_mixed(self, group: Group, addresses: Sequence[int]) -> None:
        """Obey one instruction where machines may differ in its words: those that agree obey it together."""
        everyone = [
            self.states.rows.read_each(np.full(len(group), each), group.machines) for each in addresses
        ]
        kinds, kind = np.unique(np.stack(everyone, axis=1), axis=0, return_inverse=True)
        for number, words in enumerate(kinds.tolist()):
            part = group.part(np.flatnonzero(kind.reshape(-1) == number)) if len(kinds) > 1 else group
            ready = self._decoded(part, dict(zip(addresses, words, strict=True)))
            if ready is None:
                continue
            self._steps += 1
            onward = self._orders.obey(part, ready)
            for each in (part,) if onward is None else onward:
                self._turns.wait(each)

    def _forget(self, address: int) -> None:
        """Machines may differ in a word from now on: instructions that it may be part of are no longer ready."""
        per_word = self._layout.places_a_word
        for place in range((address - self._layout.most_words + 1) * per_word, (address + 1) * per_word):
            self._ready.pop(place, None)


__all__ = ["IS_AT_LIMIT", "IS_FAULTY", "IS_HALTED", "IS_WAITING", "Fleet"]
