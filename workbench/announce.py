"""Telling those who wait which piece of a longer piece of work comes next."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import click

from workbench.progress import PATIENCE

_ROOM = 60
"""Columns; what is said stays in one line."""


@contextmanager
def announcing(pieces: int) -> Iterator[Callable[[str], None]]:
    """Give a function that is told the name of each of so many pieces when it is begun.

    Like `workbench.progress.ProgressLine`: on standard error, nothing in the first second, nothing where nobody looks,
    and wiped at the end.
    """
    begun = time.monotonic()
    is_watched = sys.stderr is not None and sys.stderr.isatty()
    done = 0
    shown = False

    def tell(name: str) -> None:
        nonlocal done, shown
        if is_watched and time.monotonic() - begun > PATIENCE:
            click.echo(f"\r{f'{done} of {pieces} done, now {name} ...':<{_ROOM}.{_ROOM}}", nl=False, err=True)
            shown = True
        done += 1

    try:
        yield tell
    finally:
        if shown:
            click.echo(f"\r{'':<{_ROOM}}\r", nl=False, err=True)
