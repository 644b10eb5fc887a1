"""The cheapest way to key in lines: many of them at once, where every answer in them has been heard before.

An answer that was heard after a beginning should be the same again after that beginning, and after wrong input that
changed nothing.  So the whole print-out of a line is known before it is keyed in, and is compared as it comes; where
it is another, the line is keyed in again, one input at a time.
"""

from collections.abc import Hashable
from functools import partial
from typing import NamedTuple

from workbench.drill.course import Judged
from workbench.drill.lines import RUNS, Node
from workbench.drill.rules import Entry

MOST_TYPED = 1000
"""Bytes that are keyed in at once; a terminal holds a few thousand that nobody has read."""
MOST_TOGETHER = 64
"""Lines that are keyed in together; so many only after as many have been what was known, for it goes by doubling."""
MOST_SURPRISES = 5
"""Print-outs that were others than those that were known, before lines are keyed in one input at a time."""

Key = tuple[tuple[bytes, ...], int, Entry]


class Known(NamedTuple):
    """An answer that was heard before: what was printed, as it came, and what was made of it."""

    printed: str
    judged: Judged


class Planned(NamedTuple):
    """An input of a line whose print-out is known: where it is keyed in, which it is, and where it leads."""

    node: Node
    place: int
    known: Known
    kid: Node

    @property
    def entry(self) -> Entry:
        """What is keyed in."""
        return self.node.entries[self.place]


class Memory:
    """Every answer that was heard, by what was keyed in before it, wrong input that changed nothing left out."""

    def __init__(self) -> None:
        self._known: dict[Key, Known] = {}
        self._surprises = 0
        self.together = 1
        """How many lines may be keyed in together."""

    @property
    def serves(self) -> bool:
        """Whether print-outs have mostly been those that were known."""
        return self._surprises < MOST_SURPRISES

    def surprise(self) -> None:
        """A print-out was another than the one that was known."""
        self._surprises += 1
        self.together = 1

    def no_surprise(self) -> None:
        """It was the one that was known."""
        self.together = min(2 * self.together, MOST_TOGETHER)

    def keep(self, node: Node, entry: Entry, printed: str, judged: Judged) -> None:
        """Remember an answer; one with which something is wrong is always heard anew."""
        if not judged.findings and judged.goes_on:
            self._known[node.stripped, node.code, entry] = Known(printed, judged)

    def recall(self, node: Node, entry: Entry) -> Known | None:
        """What is known of the answer to an input, if it was heard before."""
        return self._known.get((node.stripped, node.code, entry))


class Batch:
    """Lines that are keyed in together; they count as keyed in from the moment that they are put into it."""

    def __init__(self, most_printed: int) -> None:
        self.lines: list[list[Planned]] = []
        self._granted: list[Hashable | None] = []
        """For each input of these lines its answer, if that had not been heard there before."""
        self.typed = b""
        self.printed = ""
        self.inputs = self.branches = 0
        self._most_printed = most_printed

    def put(self, line: list[Planned]) -> bool:
        """Put one more line into it, and note in the tree that it was keyed in; False if there is no room for it."""
        typed = b"".join(each.entry.typed for each in line)
        printed = "".join(each.known.printed for each in line)
        if len(self.typed) + len(typed) > MOST_TYPED:
            return False
        if self.lines and len(self.printed) + len(printed) > self._most_printed:
            return False
        self.lines.append(line)
        self.typed += typed
        self.printed += printed
        self.inputs += len(line)
        for node, place, known, kid in line:
            meaning = known.judged.meaning
            is_new = node.peek(place, meaning) is None
            self._granted.append(meaning if is_new else None)
            self.branches += is_new
            for _ in range(RUNS):
                node.arrive(place, meaning, partial(_same, kid))
        for each in reversed(line):
            each.node.settle()
        return True

    @property
    def ends(self) -> Judged:
        """What comes of its last input."""
        return self.lines[-1][-1].known.judged

    def keep(self) -> None:
        """It was printed what was known: what lies below can be forgotten where all is done."""
        for line in self.lines:
            for each in line:
                each.node.forget()

    def take_back(self) -> None:
        """Something else was printed: none of its lines counts as keyed in."""
        inputs = [each for line in self.lines for each in line]
        for each, granted in zip(inputs, self._granted, strict=True):
            each.node.take_back(each.place, granted)


def _same(kid: Node) -> Node:
    return kid
