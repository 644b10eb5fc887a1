"""Telling those who wait for a least strategy what is the best so far, and ending at once when they have had enough."""

import signal
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

from workbench.progress import AGAIN, PATIENCE, ROOM


class LeastLine:
    """A line on standard error, written anew while the search goes on; Ctrl-C asks for an end and keeps what is there.

    Called with the stage, the best so far (None before there is one) and the bound; False asks the search to end.
    """

    def __init__(self) -> None:
        self._is_watched = sys.stderr is not None and sys.stderr.isatty()
        self._next = time.monotonic() + PATIENCE
        self._shown = False
        self.interrupted = False

    def __call__(self, stage: str, best: int | None, bound: int) -> bool:
        """Told by the search how far it is; whether it should go on."""
        found = "none found yet" if best is None else f"best so far {best:,}"
        return self.show(f"{stage}: {found}, none below {bound:,}; Ctrl-C keeps the best")

    def words(self, what: str, least: int | None) -> bool:
        """Told by a plan what it looks at, and the fewest words so far; whether it should go on."""
        return self.show(what if least is None else f"best so far {least:,} words (Ctrl-C keeps it); {what}")

    def show(self, text: str) -> bool:
        """Show a text if it is time for one; whether the search should go on."""
        if self._is_watched and time.monotonic() >= self._next:
            click.echo(f"\r{text:<{ROOM}.{ROOM}}", nl=False, err=True)
            self._shown = True
            self._next = time.monotonic() + AGAIN
        return not self.interrupted

    def interrupt(self, *_: object) -> None:
        """Somebody has had enough."""
        self.interrupted = True

    def wipe(self) -> None:
        """Leave no trace of the line."""
        if self._shown:
            click.echo(f"\r{'':<{ROOM}}\r", nl=False, err=True)


@contextmanager
def least_line() -> Iterator[LeastLine]:
    """A line for one search; while it is there the first Ctrl-C ends the search, and the next one the program."""
    line = LeastLine()
    before: Callable[..., object] | int | None = signal.getsignal(signal.SIGINT)

    def hear(number: int, frame: object) -> None:
        if line.interrupted:
            raise KeyboardInterrupt
        line.interrupt(number, frame)

    signal.signal(signal.SIGINT, hear)
    try:
        yield line
    finally:
        signal.signal(signal.SIGINT, before)
        line.wipe()
