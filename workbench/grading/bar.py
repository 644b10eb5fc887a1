"""How far a grading is: a bar on standard error, where somebody looks."""

import sys
import time
from types import TracebackType

import click

from solver.progress import Progress, Stage
from workbench.progress import AGAIN, ROOM
from workbench.timeleft import TimeLeft, in_words

LENGTH = 30
GRADING = Stage("attempts judged", is_last=True)


class Bar:
    """A bar that grows while attempts are judged, and is wiped at the end; nothing where nobody looks."""

    def __init__(self) -> None:
        self._is_watched = sys.stderr is not None and sys.stderr.isatty()
        self._left = TimeLeft()
        self._next = 0.0

    def __enter__(self) -> "Bar":
        return self

    def __call__(self, done: int, total: int) -> None:
        """Told how many attempts of how many are judged."""
        left = self._left.after(Progress(GRADING, done, total, total))
        if self._is_watched and time.monotonic() >= self._next:
            click.echo(f"\r{as_bar(done, total, left):<{ROOM}.{ROOM}}", nl=False, err=True)
            self._next = time.monotonic() + AGAIN

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._is_watched:
            click.echo(f"\r{'':<{ROOM}}\r", nl=False, err=True)


def as_bar(done: int, total: int, left: float | None) -> str:
    """How far it is in one line; left: seconds, None where that is not known.

    >>> as_bar(3, 12, 40)
    '[#######.......................] 3 of 12 attempts, about 40 s left'
    """
    filled = LENGTH * done // max(total, 1)
    about = "" if left is None else f", about {in_words(left)} left"
    return f"[{'#' * filled}{'.' * (LENGTH - filled)}] {done:,} of {total:,} attempts{about}"
