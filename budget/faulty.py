"""What comes of slips in a store: whether the machine plays on as it should, differs, stops, or loses a game.

A program with slips is run with every input in every state that it can get into, as one is that is held against its
play; but here the game goes on with whatever legal move the machine makes.  The search goes by the number of inputs,
so that the line that it shows is one of the shortest.
"""

from collections.abc import Callable, Sequence
from functools import partial
from typing import NamedTuple

import numpy as np

from budget.closing import TOGETHER, Closed
from budget.conversation import Conversation, Course, State
from budget.herds import Flags, Herd, loaded
from budget.machine.channel import printed, typed_text
from budget.machine.program import Program
from budget.machine.simulator import LIMIT, WAITING
from budget.selftest import Entry

LOSES, STOPS, STRAYS, DIFFERS, SAME = "loses a game", "stops", "strays", "differs", "plays the same"
"""What comes of slips, the worst first: the visitor can win because of them; a reply never comes; something is printed
that is no legal move or no answer to what was typed; another legal move is made, and no game is lost by it; nothing."""
KINDS = (LOSES, STOPS, STRAYS, DIFFERS, SAME)
MOST_STATES = 50_000
MOST_TOLD = 200
"""Characters of what is printed at once; a machine that gives no answer may print without end."""
SLACK, MARGIN = 10, 10_000
"""For so many times as long as the sound program takes at its worst, and that more, an answer is waited for."""


class Fate(NamedTuple):
    """What comes of a program with slips.

    kind: the worst of KINDS that was found; line: a shortest line that shows it, what is printed at the start first;
    why: how the machine stands at its end, where that has to be said; states, inputs: how many were tried; is_whole:
    whether those are all.
    """

    kind: str
    line: tuple[Entry, ...]
    why: str
    states: int
    inputs: int
    is_whole: bool


class _Node(NamedTuple):
    """An input, what was printed after it, and the node that it follows; differs: whether anything has up to here."""

    before: int
    typed: tuple[int, ...]
    sent: tuple[int, ...]
    differs: bool


class _Waiting(NamedTuple):
    """Machines that wait for input, the states in which the games are, and the nodes by which they came."""

    herd: Herd
    states: list[State]
    nodes: list[int]


def fate_of(program: Program, talk: Conversation, sound: Closed) -> Fate:
    """What comes of a program with slips; sound: what was found when the one without them was held against its play."""
    limit = SLACK * max(sound.worst.instructions, sound.start.instructions) + MARGIN
    matters = np.zeros(program.card.store_words, dtype=np.bool_)
    matters[list(program.image)] = True
    while True:
        search = _Search(program, talk, limit, matters)
        fate = search.run()
        if not search.leftover.any():
            return fate
        matters = matters | search.leftover


class _Search:
    """One search, with the words that are taken to matter; it is void if another turns out to (`leftover`)."""

    def __init__(self, program: Program, talk: Conversation, limit: int, matters: Flags) -> None:
        self._program = program
        self._talk = talk
        self._limit = limit
        self._matters = matters
        self.leftover = np.zeros(len(matters), dtype=np.bool_)
        self._seen: set[bytes] = set()
        self._nodes: list[_Node] = []
        self._shown: dict[str, tuple[int, str]] = {}
        """The first node that shows each kind, and why."""
        self._courses: dict[tuple[State, tuple[int, ...]], list[Course]] = {}
        self._inputs = 0

    def run(self) -> Fate:
        """The worst that there is."""
        herd = loaded(self._program, 0, ~self._matters)
        herd.run((), self._limit)
        state = self._judged(herd, 0, -1, (), self._talk.any_begin, self._talk.begin)
        herd.watch(~self._matters)
        level = [] if state is None else [_Waiting(herd, [state], [0])]
        while level and LOSES not in self._shown and len(self._seen) <= MOST_STATES:
            level = [after for waiting in level for after in self._advance(waiting)]
            if self.leftover.any():
                break
        kind = next((kind for kind in KINDS if kind in self._shown), SAME)
        node, why = self._shown.get(kind, (-1, ""))
        is_whole = not level or kind == LOSES
        return Fate(kind, self._line(node), why, len(self._seen), self._inputs, is_whole)

    def _advance(self, waiting: _Waiting) -> list[_Waiting]:
        """Feed every input to the machines whose state is new."""
        fed = [
            (number, typed)
            for number in self._new(waiting)
            for typed in self._talk.inputs(waiting.states[number])
        ]
        return [self._feed(waiting, fed[at : at + TOGETHER]) for at in range(0, len(fed), TOGETHER)]

    def _new(self, waiting: _Waiting) -> list[int]:
        new = []
        told = waiting.herd.told(self._matters)
        for number, (each, state) in enumerate(zip(told, waiting.states, strict=True)):
            key = each + repr((state, self._nodes[waiting.nodes[number]].differs)).encode()
            if key not in self._seen:
                self._seen.add(key)
                new.append(number)
        return new

    def _feed(self, waiting: _Waiting, fed: Sequence[tuple[int, tuple[int, ...]]]) -> _Waiting:
        """What comes of some inputs: the machines with which the game goes on."""
        after = waiting.herd.chosen([number for number, _ in fed])
        after.run([typed for _, typed in fed], self._limit)
        self.leftover |= after.leftover
        self._inputs += len(fed)
        kept, states, nodes = [], [], []
        for machine, (number, typed) in enumerate(fed):
            before = waiting.states[number]
            state = self._judged(
                after,
                machine,
                waiting.nodes[number],
                typed,
                partial(self._any, before, typed),
                partial(self._talk.enter, before, typed),
            )
            if state is not None:
                kept.append(machine)
                states.append(state)
                nodes.append(len(self._nodes) - 1)
        return _Waiting(after.chosen(kept), states, nodes)

    def _any(self, state: State, typed: tuple[int, ...]) -> list[Course]:
        if (state, typed) not in self._courses:
            self._courses[state, typed] = self._talk.any_enter(state, typed)
        return self._courses[state, typed]

    # -- judging ------------------------------------------------------------------------------

    def _judged(
        self,
        herd: Herd,
        machine: int,
        before: int,
        typed: tuple[int, ...],
        courses: Callable[[], list[Course]],
        own: Callable[[], tuple[State, tuple[int, ...]]],
    ) -> State | None:
        """The state in which a game goes on after what a machine has printed; None where it does not.

        courses: what may come of the input; own: what should.
        """
        sent, (status, fault) = tuple(herd.sent[machine]), herd.stands(machine)
        differs = (before >= 0 and self._nodes[before].differs) or not _is_own(own, sent)
        self._nodes.append(_Node(before, typed, sent, differs))
        taken = next((course for course in courses() if course.said == sent), None)
        kind, why = "", ""
        if differs and is_lost(courses(), taken, sent):
            kind = LOSES
        elif status != WAITING:
            kind, why = STOPS, self._stand(status, fault)
        elif taken is None:
            kind = STRAYS
        elif differs:
            kind = DIFFERS
        if kind:  # the first node that shows it ends a shortest line
            self._shown.setdefault(kind, (len(self._nodes) - 1, why))
        return None if taken is None or kind in (LOSES, STOPS) else taken.state

    def _stand(self, status: str, fault: str | None) -> str:
        """How a machine stands that waits for nothing; where it still runs, nobody knows for how long."""
        if status == LIMIT:
            return f"there is no answer within {self._limit:,} instructions"
        return fault or f"it is {status}"

    def _line(self, node: int) -> tuple[Entry, ...]:
        entries: list[Entry] = []
        card = self._program.card
        while node >= 0:
            each = self._nodes[node]
            told = printed(card, each.sent[:MOST_TOLD]) + ("..." if len(each.sent) > MOST_TOLD else "")
            entries.append(Entry(typed_text(card, each.typed), told))
            node = each.before
        return tuple(reversed(entries))


def is_lost(courses: Sequence[Course], taken: Course | None, sent: tuple[int, ...]) -> bool:
    """Whether the visitor has won in what was printed, be it told or not."""
    if taken is not None:
        return taken.lost_at is not None
    lost = (course for course in courses if course.lost_at is not None)
    return any(sent[: course.lost_at] == course.said[: course.lost_at] for course in lost)


def _is_own(own: Callable[[], tuple[State, tuple[int, ...]]], sent: tuple[int, ...]) -> bool:
    """Whether the play itself would have said this; it knows only positions that it can meet."""
    try:
        return own()[1] == sent
    except KeyError:
        return False
