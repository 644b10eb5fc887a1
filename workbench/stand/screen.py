"""What visitors see: the whole screen of a terminal with a large board, or plain lines where there is none."""

import os
import sys
import textwrap
from collections.abc import Sequence
from types import TracebackType
from typing import TYPE_CHECKING, NamedTuple, Protocol

import click

from workbench.output import say, say_lines
from workbench.stand.large import enlarged

if TYPE_CHECKING:
    from rich.console import Console


class View(NamedTuple):
    """What is to be seen: the board, what the machine says (a line each), and what the visitor is asked."""

    board: Sequence[str]
    said: Sequence[str]
    ask: str


class Screen(Protocol):
    """Where views are shown; a context manager."""

    def __enter__(self) -> "Screen": ...

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None: ...

    def show(self, view: View) -> None:
        """Show this, and nothing of what was shown before."""
        ...


class PlainLines:
    """One view below the other, the board as it is drawn elsewhere: for a pipe, or a terminal that can do no more."""

    def __enter__(self) -> "PlainLines":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        pass

    def show(self, view: View) -> None:
        """Show this below what was shown before."""
        say()
        say_lines(f"  {row}" for row in view.board)
        for line in view.said:
            say(line)
        click.echo(f"{view.ask} ", nl=False)
        sys.stdout.flush()
        if not sys.stdin.isatty():
            click.echo("")  # the Return that a person would have typed


class WholeScreen:
    """The whole of a terminal, which is as it was before when the stand is closed."""

    def __init__(self, console: "Console") -> None:
        self._console = console
        self._has_blocks = console.encoding.lower().startswith("utf")

    def __enter__(self) -> "WholeScreen":
        self._console.set_alt_screen(True)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._console.set_alt_screen(False)

    def show(self, view: View) -> None:
        """Show this alone: the board as large as there is room for, and below it what is said and asked."""
        columns, rows = self._console.size
        said = [part for line in view.said for part in textwrap.wrap(line, max(columns - 4, 1))]
        board = enlarged(view.board, columns - 4, rows - len(said) - 4, blocks=self._has_blocks)
        self._console.clear()
        for row in ["", *board, ""]:
            self._console.out(f"  {row}", highlight=False)
        for line in said:
            self._console.out(f"  {line}", highlight=False, style="bold")
        self._console.out(f"  {view.ask} ", end="", highlight=False)
        sys.stdout.flush()


def screen_here() -> Screen:
    """The whole screen where there is a terminal that can do it, else plain lines."""
    is_terminal = sys.stdin.isatty() and sys.stdout.isatty()
    if not is_terminal or os.environ.get("TERM", "") in ("dumb", "unknown"):
        return PlainLines()
    from rich.console import Console  # only a terminal needs it

    return WholeScreen(Console())
