"""How one can tell that a program waits for input: by the last thing that it has printed.

A conversation file may say what that is.  Otherwise it is what the house rules ask with, or an outcome; and where a
program says neither, the last line before a silence is learned, its numbers left open.
"""

import re
from collections.abc import Callable, Sequence

SETTLE = 0.4
"""Seconds of silence that pass for waiting, where a program's way of asking is not known yet."""


class Waiting:
    """The ends of output that mean: it is the visitor's turn.

    told: whether a file says what they are; then nothing is learned.  ends_game: whether a text tells an outcome.
    """

    def __init__(
        self,
        marks: Sequence[str],
        ends_game: Callable[[str], bool],
        *,
        told: bool = False,
        settle: float = SETTLE,
    ) -> None:
        self.settle = settle
        self.told = told
        self._ends_game = ends_game
        self._sure = told
        self._marks = tuple(_plain(mark) for mark in marks if mark.strip())
        self.learned: list[str] = []
        """The last lines that were taken for waiting, numbers as ``#``."""

    def is_met(self, text: str) -> bool:
        """Whether output that ends like this means that the program waits."""
        end = _plain(text)
        if any(end.endswith(mark) for mark in self._marks):
            self._sure = True
            return True
        return bool(self.learned) and _last_line(text) in self.learned

    def may_settle(self, text: str) -> bool:
        """Whether silence after this output passes for waiting."""
        return not self._sure or (not self.told and self._ends_game(text))

    def learn(self, text: str) -> None:
        """Silence has followed this output."""
        line = _last_line(text)
        if line and line not in self.learned:
            self.learned.append(line)


def _plain(text: str) -> str:
    return " ".join(text.upper().split())


def _last_line(text: str) -> str:
    lines = [line for line in text.splitlines() if line.strip()]
    return re.sub(r"\d+", "#", _plain(lines[-1])) if lines else ""
