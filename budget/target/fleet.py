"""Many machines of an order sheet side by side: what `budget.target.machine` does, on arrays.

Machines that stand at the same place form a group, and a group obeys orders with a few operations on arrays.  Where
only some take a jump, the group is parted; groups that meet again become one.  The group with the most calls that have
not come back and then at the lowest place goes first, so that those which have fallen behind catch up with the others.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from budget.card import CostCard
from budget.machine.layout import Fault, NoSuchAddress
from budget.machine.program import Program
from budget.machine.rows import Array
from budget.machine.simulator import USUAL_LIMIT
from budget.machine.states import IS_FAULTY, IS_HALTED
from budget.machine.turns import Turns, sorted_by_machine, stop_at, to_read
from budget.machine.watched import WatchedRows
from budget.target.group import Group, joined
from budget.target.known import LONGEST, Known, Ready
from budget.target.lockstep import Onward
from budget.target.obeying import Obeying
from budget.target.states import States

Flags = npt.NDArray[np.bool_]


class TargetFleet:
    """Machines that run the same program; `states` says how each stands.

    After `run`, `sent` has what each machine has sent out in that run, code by code.
    """

    def __init__(self, card: CostCard, known: Known, states: States) -> None:
        self.states = states
        self.sent: list[list[int]] = [[] for _ in range(len(self))]
        self._card = card
        self._known = known
        self._ready: dict[int, Ready] = {}
        self._covering: dict[int, set[int]] = {}

    @classmethod
    def loaded(
        cls, program: Program, count: int, *, fill: int = 0, watched: Flags | None = None
    ) -> "TargetFleet":
        """`count` machines into which a program was loaded; `fill` stands wherever it leaves the store alone.

        watched: (store,) flags of the words to watch, see `WatchedRows`; none unless told.
        """
        return cls.started(program.card, program.store(fill), program.start, count, watched=watched)

    @classmethod
    def started(
        cls, card: CostCard, store: Sequence[int], start: int, count: int, *, watched: Flags | None = None
    ) -> "TargetFleet":
        """`count` machines with the same words in store, as they stand after the start key."""
        assert card.sheet is not None, "the card says that programs come by an order sheet"
        known = Known(card)
        words = np.array(store, dtype=known.lockstep.number_type)
        rows = WatchedRows(words, count, np.zeros(len(words), dtype=np.bool_) if watched is None else watched)
        return cls(card, known, States(rows, words, start, len(card.sheet.registers)))

    def __len__(self) -> int:
        return self.states.rows.count

    def chosen(self, machines: Array) -> "TargetFleet":
        """Some machines as they stand, each as often as it is named."""
        return TargetFleet(self._card, self._known, self.states.chosen(machines))

    def told(self, matters: Flags) -> list[bytes]:
        """For each machine all that decides what it will do, of words those that matter.

        A is told as well: an order that reads a key need not overwrite what was in it.
        """
        return self.states.standing(matters)

    def run(self, codes: Sequence[Sequence[int]] = (), limit: int = USUAL_LIMIT) -> None:
        """Let every machine obey orders until it stands still, at most `limit` of them.

        `codes` are what each machine reads in this run, one row for each; without them, none reads anything.
        What a machine has not read by the end is forgotten.
        """
        states = self.states
        sends = (1 << self._card.characters.bits) - 1
        self._limit = limit
        self._before = states.instructions.copy()
        lengths, table = to_read(codes, len(self), states.rows.word_type)
        self._obeying = Obeying(states, table, lengths, sends, self._forget)
        self._ready.clear()
        self._covering.clear()
        self._turns: Turns[Group] = Turns()
        stopped = np.isin(states.status, (IS_HALTED, IS_FAULTY))
        for group in states.groups(np.flatnonzero(~stopped)):
            self._wait(group)
        while self._turns.queue:
            self._advance(self._next())
        self.sent = sorted_by_machine(self._obeying.sent, len(self))

    # -- whose turn it is ---------------------------------------------------------------------

    def _wait(self, group: Group) -> None:
        """Let a group wait for its turn.  Orders are not put together across the place at which it waits."""
        if self._turns.wait(group) and group.turn[1] not in self._known.heads:
            self._known.heads.add(group.turn[1])
            self._forget(group.turn[1])

    def _next(self) -> Group:
        """The group whose turn it is: all that wait at its place are one."""
        groups = self._turns.next()
        if len(groups) == 1:
            return groups[0]
        for group in groups:
            self.states.write_down(group)
        return joined(groups, len(self), self.states.rows.word_type)

    def _advance(self, group: Group) -> None:
        """Let a group obey orders until it stops, parts, or another is to go first."""
        queue, ready_at = self._turns.queue, self._ready
        while True:
            if group.most >= self._limit and not stop_at(self._limit, group, self._before, self.states):
                return
            assert isinstance(group.place, int), "orders are obeyed to their end"
            if group.most + LONGEST > self._limit:
                ready = self._make_ready(group, group.place, longest=1)
            else:
                ready = ready_at.get(group.place) or self._make_ready(group, group.place)
            if ready is None:
                return
            onward = self._obey(group, ready)
            if onward is not None:
                for each in onward:
                    self._wait(each)
                return
            if queue and queue[0] <= group.turn:
                self._wait(group)
                return

    def _obey(self, group: Group, ready: Ready) -> Onward:
        group.instructions += ready.orders
        group.most += ready.orders
        group.cycles += ready.cycles
        return ready.obey(self._obeying, group)

    # -- orders -------------------------------------------------------------------------------

    def _make_ready(self, group: Group, place: int, longest: int = LONGEST) -> Ready | None:
        """Orders from a group's place on, up to so many; None if the group has stopped or goes on in parts."""
        rows = self.states.rows
        if place >= self._card.store_words:
            self.states.park(group, IS_FAULTY, str(NoSuchAddress(place)))
            return None
        if self._word(place) is None:
            self._obey_mixed(group, place)
            return None
        try:
            words = self._known.together(place, longest, self._word)
        except Fault as fault:
            rows.read(place, group.chosen)  # notices if the word is watched, as below
            self.states.park(group, IS_FAULTY, str(fault))
            return None
        for at in range(place, place + len(words)):
            rows.read(at, group.chosen)
        ready = self._known.ready(place, words)
        if longest == LONGEST:
            self._ready[place] = ready
            for at in range(place, place + len(words)):
                self._covering.setdefault(at, set()).add(place)
        return ready

    def _word(self, address: int) -> int | None:
        """The word of an address; None if machines may differ in it."""
        return None if self.states.rows.has_row(address) else self.states.rows.common(address)

    def _obey_mixed(self, group: Group, place: int) -> None:
        """Obey one order where machines may differ in its word: those that agree obey it together."""
        words = np.asarray(self.states.rows.read(place, group.chosen))
        for word in sorted(set(words.tolist())):
            self._obey_word(group.part(np.flatnonzero(words == word)), place, word)

    def _obey_word(self, group: Group, place: int, word: int) -> None:
        """Obey one order, which is the same for all of a group."""
        try:
            ready = self._known.ready(place, (word,))
        except Fault as fault:
            self.states.park(group, IS_FAULTY, str(fault))
            return
        onward = self._obey(group, ready)
        for each in (group,) if onward is None else onward:
            self._wait(each)

    def _forget(self, address: int) -> None:
        """What was put together with the order at an address in it is no longer ready."""
        for place in self._covering.pop(address, ()):
            self._ready.pop(place, None)
