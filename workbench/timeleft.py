"""How long work will still take, judged by how long it has taken so far."""

import time
from collections.abc import Callable

from solver.progress import Progress

PATIENCE = 2.0
"""Seconds that a stage has to have gone on before anything is said: what is quick at first may be slow."""
ENOUGH = 0.02
"""The share of a stage that has to be done before anything is said."""
MINUTE, HOUR = 60, 3600


class TimeLeft:
    """The seconds that are left of each stage, if it goes on as fast as it has gone since it was first told of.

    What an earlier run had done when the stage was first told of counts neither as work nor as time.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._last: Progress | None = None
        self._begun = 0.0
        self._done_before = 0

    def after(self, progress: Progress) -> float | None:
        """Seconds; None while there is nothing to judge by, and where nobody knows how much there is to do."""
        now = self._clock()
        if not self._goes_on(progress):
            self._begun, self._done_before = now, progress.done
        self._last = progress
        taken, done = now - self._begun, progress.done - self._done_before
        if taken < PATIENCE or done <= 0 or done < ENOUGH * (progress.total - self._done_before):
            return None
        is_known = progress.total and progress.stage.is_even
        return max(0, progress.total - progress.done) * taken / done if is_known else None

    def _goes_on(self, progress: Progress) -> bool:
        """Whether this is the same stage of the same game as was told of last."""
        last = self._last
        return last is not None and last.stage == progress.stage and last.done <= progress.done


def in_words(seconds: float) -> str:
    """A time that is not known exactly, with no more figures than it deserves."""
    if seconds < 5:
        return "a few seconds"
    exactness = 5 if seconds < MINUTE else 10 if seconds < 10 * MINUTE else MINUTE
    minutes, rest = divmod(round(seconds / exactness) * exactness, MINUTE)
    hours, minutes = divmod(minutes, HOUR // MINUTE)
    parts = ((hours, "h"), (minutes, "min"), (rest, "s"))
    return " ".join(f"{number} {unit}" for number, unit in parts if number)
