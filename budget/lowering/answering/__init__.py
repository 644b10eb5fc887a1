"""How a program finds its move: ways that are tried in order, each one module here.

After each the word `move` holds the move, and the program goes on at a label; a way that has no answer lets
the next one try.
"""

from collections.abc import Mapping, Sequence
from typing import Protocol, runtime_checkable

from budget.lowering.answering.following import Following

Endings = frozenset[tuple[str, str]]
"""After whose move a game can end how, as in `budget.lowering.ground.Setting`."""


class Answering(Protocol):
    """A way to find a move."""

    def answer(self, found: str) -> None:
        """Find the move and go on at a label; fall through where there is none."""
        ...


@runtime_checkable
class Telling(Protocol):
    """A way that knows by itself how some games end, so that the board need not be looked at for these."""

    def told(self) -> Endings:
        """Which endings it knows of; where the visitor's move has ended the game, `answer` goes on at the label."""
        ...

    def tell(self, labels: Mapping[str, str], otherwise: str) -> None:
        """After the machine's move: go on at the label of an ending that it knows of, or else at another."""
        ...


class InOrder:
    """Ways in order: the first that has a move gives it."""

    def __init__(self, ways: Sequence[Answering]) -> None:
        self._ways = ways

    def answer(self, found: str) -> None:
        """Try each in turn."""
        for way in self._ways:
            way.answer(found)


class InOrderFollowing(InOrder):
    """Ways in order, some of which follow the game."""

    def __init__(self, ways: Sequence[Answering]) -> None:
        super().__init__(ways)
        self._following = [way for way in ways if isinstance(way, Following)]

    def set_up(self) -> None:
        """As in `Following`."""
        for way in self._following:
            way.set_up()

    def visitor_moves(self) -> None:
        """As in `Following`."""
        for way in self._following:
            way.visitor_moves()

    def turn_lost(self) -> None:
        """As in `Following`."""
        for way in self._following:
            way.turn_lost()


def in_order(ways: Sequence[Answering]) -> Answering:
    """Ways in order; one alone is itself, with all that it can do besides."""
    if len(ways) == 1:
        return ways[0]
    return InOrderFollowing(ways) if any(isinstance(way, Following) for way in ways) else InOrder(ways)
