"""How one can tell that a program waits for input: by the last thing that it has printed.

A conversation file may say what that is.  Otherwise it is what the house rules ask with; and where a program ends
its output otherwise, with an outcome for one, the last line before a silence is learned, its numbers left open.  An
outcome alone is not enough: a program may print it and go on to ask for another game.  House rules that ask with
nothing leave only the silence.
"""

import re
from collections.abc import Callable, Sequence

from workbench.drill.reading import folded

SETTLE = 0.6
"""Seconds of silence that pass for waiting, where a program's way of asking is not known yet."""
PAUSE = 0.01
"""The same behind a line that silence has followed before, where the program sleeps."""


class Waiting:
    """The ends of output that mean: it is the visitor's turn.

    asks: what it asks with; outcomes: with which it waits as well.  ends_game: whether a text tells an outcome.
    told: whether a file says what it asks with; then nothing is learned.
    """

    def __init__(
        self,
        asks: Sequence[str],
        outcomes: Sequence[str],
        ends_game: Callable[[str], bool],
        *,
        told: bool = False,
        settle: float = SETTLE,
    ) -> None:
        self.settle = settle
        self.told = told
        self._ends_game = ends_game
        self._sure = told
        self._asks = _marks(asks)
        self._outcomes = _marks(outcomes)
        self.learned: list[str] = []
        """The last lines that were taken for waiting, numbers as ``#``."""
        self._at_the_end: set[str] = set()
        """The same of lines with an outcome, after which it asks for nothing."""

    @property
    def asks_with_nothing(self) -> bool:
        """Whether there is nothing by which one could tell."""
        return not self._asks

    def is_met(self, text: str) -> bool:
        """Whether output that ends like this means that the program waits."""
        if not folded(text).endswith(self._asks):
            return False
        self._sure = True
        return True

    def is_known(self, text: str) -> bool:
        """Whether silence has followed such a line before.

        That makes it likely that the program waits, and no more: it may tell its move in one breath with what it
        asks or says at the end of a game, and stop for a moment between the two.
        """
        return _last_line(text) in (*self.learned, *self._at_the_end)

    def may_settle(self, text: str) -> bool:
        """Whether silence after this output passes for waiting."""
        if self.told:
            return folded(text).endswith(self._outcomes)
        return not self._sure or self._ends_game(text)

    def learn(self, text: str) -> None:
        """Silence has followed this output."""
        line = _last_line(text)
        if line.endswith(self._outcomes):
            self._at_the_end.add(line)
        elif self._asks and line and line not in self.learned:
            self.learned.append(line)


def _marks(texts: Sequence[str]) -> tuple[str, ...]:
    return tuple(folded(text) for text in texts if text.strip())


def _last_line(text: str) -> str:
    lines = [line for line in text.splitlines() if line.strip()]
    return re.sub(r"\d+", "#", folded(lines[-1])) if lines else ""
