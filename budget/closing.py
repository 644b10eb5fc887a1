"""A program held against what it should say, in every state that it can get into: see `close`.

From each state in which the program waits, every input is fed, until no new state comes up.  What holds then
holds for ever: for input of any length, and for every game after the first.

What a program has left in a word matters only if it is read before it is written anew.  Which words those are is
found out on the way: at first none is taken to matter, and whenever one turns out to, all begins again.  In the end
every run has been watched, so states that differ elsewhere do the same, now and later.  Long runs are not made again.
"""

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from typing import NamedTuple

import numpy as np

from budget.conversation import Conversation, State
from budget.harmless import Harmless
from budget.herds import Flags, Herd, loaded
from budget.machine.channel import printed
from budget.machine.program import Program
from budget.machine.simulator import FAULT, LIMIT, WAITING
from budget.taken import Fed, Reply, Tally

MOST_STATES = 1_000_000
LONGEST_REPLY = 20_000_000
"""Instructions: a program that takes more to answer one input is taken to run for ever."""
TOGETHER = 20_000
"""Machines that run side by side."""
FEW, LONG = 256, 100_000
"""Of at most so many machines, what a run of at least so many instructions has come to is kept for a new beginning."""

Told = Callable[[int], None]


class Patience(NamedTuple):
    """How long replies may take: fewer instructions than this, and fewer seconds, if they are counted."""

    instructions: int
    seconds: float | None


ENDLESS = Patience(LONGEST_REPLY, None)
NOTHING = Harmless()


class Closed(NamedTuple):
    """A program that says what it should in every state.

    states: how many it can wait in; inputs: how many were fed; worst: the input that takes most instructions; slowest:
    that which takes most seconds; start: what it takes until it first waits; replies: how many inputs the machine
    answered by a move or by the end of the game; instructions, thinking, printing: of all these together; carried: the
    addresses of the words that carry something from one input to the next.
    """

    states: int
    inputs: int
    worst: Reply
    slowest: Reply
    start: Reply
    replies: int
    instructions: int
    thinking: Fraction
    printing: Fraction
    carried: tuple[int, ...]


class Differs(Exception):
    """A program that says something else than it should; the message says after which input, and what."""


class TooSlow(Exception):
    """A reply takes so long that nobody wants to know the rest."""


class Unfinished(Exception):
    """There are more states than the limit allows; the message says how many have been found."""


def close(
    program: Program,
    conversation: Conversation,
    *,
    fill: int = 0,
    told: Told | None = None,
    patience: Patience = ENDLESS,
    harmless: Harmless = NOTHING,
) -> Closed:
    """Hold a program against a conversation, whatever stood in the words that loading leaves alone.

    `fill` is what those words hold in the run itself; that none is read before it is written is checked.
    `told` hears how many states have been found.  Words that are `harmless` do not tell states apart; that they are
    is tried in every state.
    Raises Differs at the first difference, Unfinished where there are more than MOST_STATES, and TooSlow as soon as
    a reply takes longer than `patience` has it.
    """
    matters = _loaded(program)
    kept: _Kept = {}
    while True:
        closing = _Closing(program, conversation, matters, told, patience, harmless, kept)
        closed = closing.run(fill)
        if closed is not None:
            return closed
        matters = matters | closing.leftover


def _loaded(program: Program) -> Flags:
    loaded = np.zeros(program.card.store_words, dtype=np.bool_)
    loaded[list(program.image)] = True
    return loaded


_Key = tuple[tuple[bytes, ...], tuple[tuple[int, ...], ...], int]
_Kept = dict[_Key, tuple[Herd, Flags]]
"""What long runs came to, by all that decides it: machines, what each was fed, and the limit; and what they noticed."""


class _Closing:
    """One search, with the words that are taken to matter; it ends early when another turns out to."""

    def __init__(
        self,
        program: Program,
        conversation: Conversation,
        matters: Flags,
        told: Told | None,
        patience: Patience,
        harmless: Harmless,
        kept: _Kept,
    ) -> None:
        self._kept = kept
        self._program = program
        self._card = program.card
        self._talk = conversation
        self._harmless = harmless
        self._set_aside = harmless.flags(len(matters))
        self._matters = matters & ~self._set_aside
        self._told = told
        self._patience = patience
        self.leftover = np.zeros(len(matters), dtype=np.bool_)
        self._everything = np.ones(len(matters), dtype=np.bool_)
        self._seen: set[bytes] = set()
        self._tally = Tally(program.card)

    def run(self, fill: int) -> Closed | None:
        """All that was found; None if a word matters that was not taken to."""
        state, said = self._talk.begin()
        carried = self._matters & ~_loaded(self._program)
        herd = self._started(fill, said, carried)
        start = self._tally.reply([*herd.took[0].tolist(), len(herd.sent[0])], state, ())
        waiting = [(herd, [state])]
        while waiting:
            waiting.extend(self._advance(*waiting.pop()))
            if self.leftover.any():
                return None
        return self._closed(start, carried)

    def _closed(self, start: Reply, carried: Flags) -> Closed:
        """All that was found."""
        tally = self._tally
        instructions, cycles, characters = tally.sums.tolist()
        return Closed(
            len(self._seen),
            tally.inputs,
            tally.worst,
            tally.slowest,
            start,
            tally.replies,
            instructions,
            tally.cycle * cycles,
            tally.character * characters,
            tuple(np.flatnonzero(carried).tolist()),
        )

    def _started(self, fill: int, said: Sequence[int], carried: Flags) -> Herd:
        """A machine that has come to its first input, and nothing that stood in its store before has had a say."""
        herd = loaded(self._program, fill, ~(_loaded(self._program) | self._set_aside))
        herd.run((), LONGEST_REPLY)
        self._compare(herd, 0, said, (), None)
        unset = herd.leftover | carried & ~herd.written()
        if unset.any():
            raise Differs(f"what stood in word {int(np.flatnonzero(unset)[0])} before the start may matter")
        herd.watch(~(self._matters | self._set_aside))
        return herd

    def _advance(self, herd: Herd, states: Sequence[State]) -> list[tuple[Herd, list[State]]]:
        """Feed every input in every state that is new; the machines and states after that."""
        new = self._new(herd, states)
        if len(self._seen) > MOST_STATES:
            raise Unfinished(f"it can wait in more than {MOST_STATES:,} states")
        if self._told is not None:
            self._told(len(self._seen))
        fed: list[Fed] = [(number, typed) for number in new for typed in self._talk.inputs(states[number])]
        return [
            after
            for group, longest in self._groups(states, fed)
            for begin in range(0, len(group), TOGETHER)
            for after in self._feed_all(herd, states, group[begin : begin + TOGETHER], longest)
        ]

    def _groups(self, states: Sequence[State], fed: list[Fed]) -> list[tuple[list[Fed], int]]:
        """What to feed, apart by how much is to be printed, and after how many instructions it is too slow."""
        most, seconds = self._patience
        if seconds is None:
            return [(fed, min(most, LONGEST_REPLY))]
        groups: dict[int, list[Fed]] = {}
        for number, typed in fed:
            _, said = self._talk.enter(states[number], typed)
            groups.setdefault(len(said), []).append((number, typed))
        return [
            (group, min(most, self._tally.instructions_in(seconds, length, LONGEST_REPLY)))
            for length, group in sorted(groups.items())
        ]

    def _new(self, herd: Herd, states: Sequence[State]) -> list[int]:
        """The machines whose state has not been seen."""
        new = []
        for number, (told, state) in enumerate(zip(herd.told(self._matters), states, strict=True)):
            key = told + repr(state).encode()
            if key not in self._seen:
                self._seen.add(key)
                new.append(number)
        return new

    def _feed_all(
        self, herd: Herd, states: Sequence[State], fed: list[Fed], longest: int
    ) -> Iterator[tuple[Herd, list[State]]]:
        """Feed inputs with the harmless words as they stand, and with other contents, which makes no difference."""
        numbers = [number for number, _ in fed]
        sound = self._run(herd.chosen(numbers), fed, longest)
        yield sound, self._entered(sound, states, fed, longest)
        for contents in self._harmless.contents:
            other = herd.chosen(numbers)
            other.put(contents)
            other = self._run(other, fed, longest)
            try:
                entered = self._entered(other, states, fed, longest)
            except Differs as difference:
                raise Differs(f"with other contents of what should be harmless, {difference}") from None
            for address in np.flatnonzero(self._matters).tolist():
                if np.any(sound.word(address) != other.word(address)):
                    raise Differs(f"what should be harmless makes a difference to word {address}")
            yield other, entered  # its registers may differ

    def _run(self, herd: Herd, fed: list[Fed], longest: int) -> Herd:
        """The machines after they were fed; a long run that a former search has made is not made again."""
        typed = [each for _, each in fed]
        key = (tuple(herd.told(self._everything)), tuple(typed), longest) if len(fed) <= FEW else None
        if key is not None and key in self._kept:
            herd, noticed = self._kept[key]
            herd.watch(~(self._matters | self._set_aside))
        else:
            herd.run(typed, longest)
            noticed = herd.leftover
            if key is not None and int(herd.took[:, 0].sum()) >= LONG:
                self._kept[key] = (herd, noticed.copy())
        self.leftover |= noticed & ~self._matters
        return herd

    def _entered(self, after: Herd, states: Sequence[State], fed: list[Fed], longest: int) -> list[State]:
        """The states after they were fed, each compared with what it should be."""
        entered = []
        for machine, (number, typed) in enumerate(fed):
            following, said = self._talk.enter(states[number], typed)
            if longest < LONGEST_REPLY and after.stands(machine)[0] == LIMIT:
                raise TooSlow
            self._compare(after, machine, said, typed, states[number])
            entered.append(following)
        sent = [len(each) for each in after.sent]
        answered = [self._talk.moves_on(states[number], typed) for number, typed in fed]
        self._tally.add(np.column_stack([after.took, sent]), fed, states, np.array(answered))
        seconds = self._patience.seconds
        if seconds is not None and self._tally.slowest.seconds >= seconds:
            raise TooSlow
        return entered

    def _compare(
        self, herd: Herd, machine: int, said: Sequence[int], typed: Sequence[int], state: State | None
    ) -> None:
        """Raise Differs if a machine has printed something else than it should, or does not wait."""
        (status, fault), sent = herd.stands(machine), herd.sent[machine]
        if status == WAITING and list(said) == list(sent):
            return
        where = "at the start" if state is None else f"in position {state.code:#x}"
        if state is not None and state.over:
            where += ", after the end"
        shown, due = (printed(self._card, codes) for codes in (sent, said))
        prints = [f"it prints {shown!r} instead of {due!r}"] if list(said) != list(sent) else []
        stands = {WAITING: [], LIMIT: ["it runs for ever"], FAULT: [f"it stops: {fault}"]}
        what = ", and ".join([*prints, *stands.get(status, [f"it is {status}"])])
        raise Differs(f"{where}, after {printed(self._card, typed)!r}: {what}")
