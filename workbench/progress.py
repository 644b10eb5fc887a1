"""Telling those who wait how far the work is and how long it will take, on standard error."""

import sys
import time
from types import TracebackType

import click

from solver.progress import COUNTING, PLANNED, Progress, Stage
from workbench.timeleft import TimeLeft, in_words

PATIENCE = 1.0
"""Seconds after which people want to know."""
AGAIN = 0.2
"""Seconds after which they want to know more."""
ROOM = 78
"""Columns; what is said stays in one line."""
TRYING = Stage("states tried")
"""A program is run in every state that it can get into."""


class ProgressLine:
    """A line that is written anew while the work goes on, and wiped at the end; nothing where nobody looks."""

    def __init__(self) -> None:
        self._is_watched = sys.stderr is not None and sys.stderr.isatty()
        self._left = TimeLeft()
        self._next = time.monotonic() + PATIENCE
        self._shown = False
        self._piece, self._more = "", False

    def __enter__(self) -> "ProgressLine":
        return self

    def begin(self, piece: str, *, more: bool) -> None:
        """The reports that follow are about another piece of the work, which has a name unless it is the only one.

        more: whether there are further pieces to come.
        """
        self._piece, self._more = piece, more
        self._left = TimeLeft()

    def form(self, name: str, states: int) -> None:
        """Told by whoever builds a strategy in one form after another: the form, and the states tried so far."""
        self.begin(name, more=True)
        self(Progress(TRYING, 0, 0, states))

    def __call__(self, progress: Progress) -> None:
        """Told by the solver how far it is."""
        if progress.stage == PLANNED:
            return
        left = self._left.after(progress)
        if self._is_watched and time.monotonic() >= self._next:
            click.echo(
                f"\r{as_line(progress, left, self._piece, more=self._more):<{ROOM}.{ROOM}}",
                nl=False,
                err=True,
            )
            self._shown = True
            self._next = time.monotonic() + AGAIN

    def wipe(self) -> None:
        """Leave no trace of the line."""
        if self._shown:
            click.echo(f"\r{'':<{ROOM}}\r", nl=False, err=True)
            self._shown = False

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.wipe()


def as_line(progress: Progress, left: float | None, piece: str = "", *, more: bool = False) -> str:
    """How far the work is, in one line.

    left: seconds of this stage, None where it is not known; piece: what is worked on, if it is not all; more: whether
    other pieces follow.
    """
    stage = progress.stage
    name = f"{piece}, {stage.name}" if piece else stage.name
    if not progress.total and stage is not COUNTING:
        return f"{name}: {progress.positions:,} so far ..."
    if not progress.total:
        return f"{name}: {progress.positions:,} so far, up to ply {progress.done} ..."
    share = f"{name}: {100 * progress.done // progress.total} %"
    if left is None:
        return f"{share} of {progress.positions:,} positions ..."
    about = "at most" if stage.may_end_early else "about"
    return f"{share}, {about} {in_words(left)} left{' in this step' if more or not stage.is_last else ''}"
