"""Telling those who wait how far the work is, on standard error and only once it has taken a second."""

import sys
import time
from types import TracebackType

import click

PATIENCE = 1.0
"""Seconds after which people want to know."""


class Progress:
    """A line that is written anew while positions are found, and wiped at the end; nothing where nobody looks."""

    def __init__(self) -> None:
        self._begun = time.monotonic()
        self._is_watched = sys.stderr is not None and sys.stderr.isatty()
        self._shown = False

    def __enter__(self) -> "Progress":
        return self

    def __call__(self, ply: int, positions: int) -> None:
        """Told by the solver after every ply."""
        if self._is_watched and time.monotonic() - self._begun > PATIENCE:
            click.echo(f"\rply {ply}: {positions:,} positions so far ... ", nl=False, err=True)
            self._shown = True

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._shown:
            click.echo(f"\r{'':<60}\r", nl=False, err=True)
