"""The cheapest way to key in a line: all of it at once, where every answer in it has been heard before.

An answer that was heard after a beginning should be the same again after that beginning, and after wrong input that
changed nothing.  So the whole print-out of a line is known before it is keyed in, and is compared as it comes; where
it is another, the line is keyed in again, one input at a time.
"""

from typing import NamedTuple

from workbench.drill.course import Judged
from workbench.drill.lines import Node
from workbench.drill.rules import Entry

MOST_TYPED = 1000
"""Bytes that are keyed in at once; a terminal holds a few thousand that nobody has read."""
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

    @property
    def serves(self) -> bool:
        """Whether print-outs have mostly been those that were known."""
        return self._surprises < MOST_SURPRISES

    def surprise(self) -> None:
        """A print-out was another than the one that was known."""
        self._surprises += 1

    def keep(self, node: Node, entry: Entry, printed: str, judged: Judged) -> None:
        """Remember an answer; one with which something is wrong is always heard anew."""
        if not judged.findings and judged.goes_on:
            self._known[node.stripped, node.code, entry] = Known(printed, judged)

    def recall(self, node: Node, entry: Entry) -> Known | None:
        """What is known of the answer to an input, if it was heard before."""
        return self._known.get((node.stripped, node.code, entry))


def keyed_at_once(line: list[Planned]) -> bytes:
    """The inputs of a line one after the other."""
    return b"".join(each.entry.typed for each in line)


def printed_at_once(line: list[Planned]) -> str:
    """What they should print."""
    return "".join(each.known.printed for each in line)
