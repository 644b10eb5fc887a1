"""A shortest line at whose end a program says something else than it should."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from budget.conversation import Conversation, State
from budget.drilling.lines import Texts
from budget.herds import Herd, loaded
from budget.machine.program import Program
from budget.machine.simulator import WAITING

MOST_STATES = 20_000
"""A line that shows only beyond so many states is not found."""
LONGEST_REPLY = 1_000_000
"""Instructions after which a reply is not waited for any longer."""
TOGETHER = 20_000

Typed = tuple[int, ...]
"""The codes of an input."""


class _Node(NamedTuple):
    """An input, the node that it follows, and where the game should stand after it."""

    before: int
    typed: Typed
    state: State


class _Waiting(NamedTuple):
    """Machines that wait for input, and the nodes by which they came."""

    herd: Herd
    numbers: Sequence[int]


def first_wrong(program: Program, talk: Conversation, texts: Texts) -> list[Typed] | None:
    """What is typed on such a line, nothing where the start itself is wrong; None where no line is found."""
    return _Search(program, talk, texts).line()


class _Search:
    """Every input in every state, by the number of inputs; what people type comes before all other codes."""

    def __init__(self, program: Program, talk: Conversation, texts: Texts) -> None:
        self._program, self._talk, self._texts = program, talk, texts
        self._every_word = np.ones(program.card.store_words, dtype=np.bool_)
        self._nodes: list[_Node] = []
        self._seen: set[bytes] = set()

    def line(self) -> list[Typed] | None:
        """The first line that goes wrong."""
        herd = loaded(self._program, 0, ~self._every_word)
        herd.run((), LONGEST_REPLY)
        state, said = self._talk.begin()
        self._nodes.append(_Node(-1, (), state))
        if not _says(herd, 0, said):
            return []
        level = [_Waiting(herd, [0])]
        while level and len(self._seen) < MOST_STATES:
            following = []
            for waiting in level:
                for after in self._fed(waiting):
                    wrong = self._first_of(after)
                    if wrong is not None:
                        return self._way_to(wrong)
                    following.append(after)
            level = following
        return None

    def _fed(self, waiting: _Waiting) -> Iterator[_Waiting]:
        """The machines whose state is new, after each input."""
        fed = [
            (place, typed) for place in self._new(waiting) for typed in self._inputs(waiting.numbers[place])
        ]
        for at in range(0, len(fed), TOGETHER):
            part = fed[at : at + TOGETHER]
            after = waiting.herd.chosen([place for place, _ in part])
            after.run([typed for _, typed in part], LONGEST_REPLY)
            first = len(self._nodes)
            for place, typed in part:
                before = waiting.numbers[place]
                self._nodes.append(
                    _Node(before, typed, self._talk.enter(self._nodes[before].state, typed)[0])
                )
            yield _Waiting(after, range(first, len(self._nodes)))

    def _new(self, waiting: _Waiting) -> Iterator[int]:
        told = waiting.herd.told(self._every_word)
        for place, number in enumerate(waiting.numbers):
            key = told[place] + repr(self._nodes[number].state).encode()
            if key not in self._seen:
                self._seen.add(key)
                yield place

    def _inputs(self, number: int) -> Iterator[Typed]:
        state = self._nodes[number].state
        typed = [
            self._texts.keys(state, text) for text in (*self._texts.moves(state), *self._texts.wrong(state))
        ]
        yield from dict.fromkeys([*typed, *self._talk.inputs(state)])

    def _first_of(self, after: _Waiting) -> int | None:
        """The first of some nodes at which something else is said than is due."""
        for machine, number in enumerate(after.numbers):
            before, typed, _ = self._nodes[number]
            if not _says(after.herd, machine, self._talk.enter(self._nodes[before].state, typed)[1]):
                return number
        return None

    def _way_to(self, number: int) -> list[Typed]:
        way = []
        while number > 0:
            way.append(self._nodes[number].typed)
            number = self._nodes[number].before
        return way[::-1]


def _says(herd: Herd, machine: int, due: Sequence[int]) -> bool:
    return herd.stands(machine)[0] == WAITING and list(due) == list(herd.sent[machine])
