"""A program held against what it should say, in every state that it can get into: see `close`.

From each state in which the program waits, every input is fed, until no new state comes up.  What holds then
holds for ever: for input of any length, and for every game after the first.

What a program has left in a word matters only if it is read before it is written anew.  Which words those are is
found out on the way: at first none is taken to matter, and whenever one turns out to, all begins again.  In the end
every run has been watched, so states that differ elsewhere do the same, now and later.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from budget.conversation import Conversation, State
from budget.machine.channel import printed
from budget.machine.fleet import Fleet
from budget.machine.program import Program
from budget.machine.simulator import LIMIT, WAITING
from budget.machine.states import STATUSES, States
from budget.machine.watched import WatchedRows

MOST_STATES = 1_000_000
LONGEST_REPLY = 20_000_000
"""Instructions: a program that takes more to answer one input is taken to run for ever."""
TOGETHER = 20_000
"""Machines that run side by side."""

Fed = tuple[int, tuple[int, ...]]
"""A state, by its number among those of a round, and an input in it."""
Told = Callable[[int], None]


class Reply(NamedTuple):
    """What one input takes: instructions, cycles of the card's clock, characters printed.

    code, over, typed: the position in which it was typed, whether the game was over, and the codes.
    """

    instructions: int
    cycles: int
    characters: int
    code: int
    over: bool
    typed: tuple[int, ...]


class Closed(NamedTuple):
    """A program that says what it should in every state.

    states: how many it can wait in; inputs: how many were fed; worst: the reply with the most instructions;
    slowest: that with the most cycles; instructions, cycles: of all replies together; carried: the addresses of the
    words that carry something from one input to the next; start: what it takes until it first waits.
    """

    states: int
    inputs: int
    worst: Reply
    slowest: Reply
    instructions: int
    cycles: int
    carried: tuple[int, ...]
    start: Reply


class Differs(Exception):
    """A program that says something else than it should; the message says after which input, and what."""


class Unfinished(Exception):
    """There are more states than the limit allows; the message says how many have been found."""


def close(program: Program, conversation: Conversation, *, fill: int = 0, told: Told | None = None) -> Closed:
    """Hold a program against a conversation, whatever stood in the words that loading leaves alone.

    `fill` is what those words hold in the run itself; that none is read before it is written is checked.
    `told` hears how many states have been found.
    Raises Differs at the first difference, and Unfinished where there are more than MOST_STATES.
    """
    matters = np.zeros(program.card.store_words, dtype=np.bool_)
    matters[list(program.image)] = True
    while True:
        closing = _Closing(program, conversation, matters, told)
        closed = closing.run(fill)
        if closed is not None:
            return closed
        matters = matters | closing.leftover


class _Closing:
    """One search, with the words that are taken to matter; it ends early when another turns out to."""

    def __init__(
        self,
        program: Program,
        conversation: Conversation,
        matters: npt.NDArray[np.bool_],
        told: Told | None,
    ) -> None:
        self._program = program
        self._card = program.card
        self._talk = conversation
        self._matters = matters
        self._told = told
        self.leftover = np.zeros(len(matters), dtype=np.bool_)
        self._seen: set[bytes] = set()
        self._inputs = self._instructions = self._cycles = 0
        self._worst = self._slowest = Reply(0, 0, 0, 0, False, ())

    def run(self, fill: int) -> Closed | None:
        """All that was found; None if a word matters that was not taken to."""
        state, said = self._talk.begin()
        store = self._program.store(fill)
        rows = WatchedRows.watching(store, self._card.word_bits, 1, ~self._matters)
        fleet = Fleet(States(self._card, rows, self._program.start, None))
        fleet.run(limit=LONGEST_REPLY)
        self._compare(fleet, 0, said, (), None)
        unset = rows.leftover | self._carried() & ~fleet.states.written
        if unset.any():
            raise Differs(f"what stood in word {int(np.flatnonzero(unset)[0])} before the start may matter")
        states, cycles = fleet.states, int(fleet.states.cycles[0])
        start = Reply(int(states.instructions[0]), cycles, len(fleet.sent[0]), state.code, state.over, ())
        waiting = [(fleet, [state])]
        while waiting:
            machines, at = waiting.pop()
            waiting.extend(self._advance(machines, at))
            if self.leftover.any():
                return None
        return Closed(
            len(self._seen),
            self._inputs,
            self._worst,
            self._slowest,
            self._instructions,
            self._cycles,
            tuple(np.flatnonzero(self._carried()).tolist()),
            start,
        )

    def _carried(self) -> npt.NDArray[np.bool_]:
        """The words that matter and that loading leaves alone."""
        carried = self._matters.copy()
        carried[list(self._program.image)] = False
        return carried

    def _advance(self, fleet: Fleet, states: Sequence[State]) -> list[tuple[Fleet, list[State]]]:
        """Feed every input in every state that is new; the machines and states after that."""
        new = self._new(fleet, states)
        if len(self._seen) > MOST_STATES:
            raise Unfinished(f"it can wait in more than {MOST_STATES:,} states")
        if self._told is not None:
            self._told(len(self._seen))
        fed: list[Fed] = [(number, typed) for number in new for typed in self._talk.inputs(states[number])]
        return [
            self._feed(fleet, states, fed[begin : begin + TOGETHER]) for begin in range(0, len(fed), TOGETHER)
        ]

    def _new(self, fleet: Fleet, states: Sequence[State]) -> list[int]:
        """The machines whose state has not been seen."""
        rows = fleet.states.rows
        kept = self._matters[rows.addresses()]
        alike = [getattr(fleet.states, name) for name in ("place", "m", "carry")]
        links = [fleet.states.links(number) for number in range(len(states))]
        columns = np.column_stack([*alike, rows.columns()[:, kept]]).astype(np.uint64)
        new = []
        addresses = rows.addresses()[kept].tobytes()
        for number, state in enumerate(states):
            key = columns[number].tobytes() + addresses + repr((links[number], state)).encode()
            if key not in self._seen:
                self._seen.add(key)
                new.append(number)
        return new

    def _feed(self, fleet: Fleet, states: Sequence[State], fed: list[Fed]) -> tuple[Fleet, list[State]]:
        after = fleet.chosen([number for number, _ in fed])
        instructions, cycles = after.states.instructions.copy(), after.states.cycles.copy()
        after.run([typed for _, typed in fed], limit=LONGEST_REPLY)
        entered = []
        for machine, (number, typed) in enumerate(fed):
            following, said = self._talk.enter(states[number], typed)
            self._compare(after, machine, said, typed, states[number])
            entered.append(following)
        rows = after.states.rows
        assert isinstance(rows, WatchedRows)
        self.leftover |= rows.leftover
        self._count(
            after, after.states.instructions - instructions, after.states.cycles - cycles, fed, states
        )
        return after, entered

    def _count(
        self,
        fleet: Fleet,
        instructions: npt.NDArray[np.int64],
        cycles: npt.NDArray[np.int64],
        fed: list[Fed],
        states: Sequence[State],
    ) -> None:
        self._inputs += len(fed)
        self._instructions += int(instructions.sum())
        self._cycles += int(cycles.sum())

        def reply(at: int) -> Reply:
            number, typed = fed[at]
            state = states[number]
            return Reply(
                int(instructions[at]), int(cycles[at]), len(fleet.sent[at]), state.code, state.over, typed
            )

        self._worst = max(self._worst, reply(int(instructions.argmax())), key=lambda each: each.instructions)
        self._slowest = max(self._slowest, reply(int(cycles.argmax())), key=lambda each: each.cycles)

    def _compare(
        self, fleet: Fleet, machine: int, said: Sequence[int], typed: Sequence[int], state: State | None
    ) -> None:
        """Raise Differs if a machine has printed something else than it should, or does not wait."""
        status, sent = STATUSES[int(fleet.states.status[machine])], fleet.sent[machine]
        if status == WAITING and list(said) == list(sent):
            return
        where = "at the start" if state is None else f"in position {state.code:#x}"
        if state is not None and state.over:
            where += ", after the end"
        shown, due = (printed(self._card, codes) for codes in (sent, said))
        what = f"it prints {shown!r} instead of {due!r}" if list(said) != list(sent) else f"it is {status}"
        if status not in (WAITING, LIMIT):
            what += f" ({status}: {fleet.states.fault(machine)})"
        raise Differs(f"{where}, after {printed(self._card, typed)!r}: {what}")
