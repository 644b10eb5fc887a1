"""The time that a search may take, and those who wait for it."""

import time
from collections.abc import Callable

from solver.least.stopped import NotFound
from solver.progress import Progress

Tell = Callable[[str, int | None, int], bool]
"""Told the stage, the fewest answers so far (None before any are found) and the bound; False asks for an end."""


class Clock:
    """How much time is left, and whether somebody asked for an end."""

    def __init__(
        self, seconds: float, tell: Tell | None = None, now: Callable[[], float] = time.monotonic
    ) -> None:
        """now: the seconds that a clock shows."""
        self._now = now
        self._begin = now()
        self._seconds = seconds
        self._tell = tell
        self.ended = False

    def left(self, share: float = 1.0) -> float:
        """Seconds until a share of the time is used up."""
        used = self._now() - self._begin
        return 0.0 if self.ended else max(0.0, self._seconds * share - used)

    def report(self, _: Progress) -> None:
        """Heard while a game is gone through and its choices are gathered; raises NotFound where time is up."""
        if not self.left():
            raise NotFound(0)

    def tell(self, stage: str, best: int | None, bound: int) -> bool:
        """Pass on how far the work is; whether to go on."""
        if self._tell is not None and not self._tell(stage, best, bound):
            self.ended = True
        return not self.ended
