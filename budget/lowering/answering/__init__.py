"""How a program finds its move: ways that are tried in order, each one module here.

After each the word `move` holds the move, and the program goes on at a label; a way that has no answer lets
the next one try.
"""

from collections.abc import Sequence
from typing import Protocol


class Answering(Protocol):
    """A way to find a move."""

    def answer(self, found: str) -> None:
        """Find the move and go on at a label; fall through where there is none."""
        ...


class InOrder:
    """Ways in order: the first that has a move gives it."""

    def __init__(self, ways: Sequence[Answering]) -> None:
        self._ways = ways

    def answer(self, found: str) -> None:
        """Try each in turn."""
        for way in self._ways:
            way.answer(found)
