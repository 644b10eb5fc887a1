"""How commands speak: JSON for machines, plain lines of at most 80 characters for people."""

import json
import re
import textwrap
from collections.abc import Callable, Iterable, Sequence
from typing import Any

import click

WIDTH = 80
LEAST_COLUMN = 20


def emit_json(value: Any) -> None:
    """One JSON object on standard output, and nothing else."""
    click.echo(json.dumps(value, indent=2))


def say(text: str = "", indent: str = "") -> None:
    """A paragraph, wrapped; lines after the first are indented like the first."""
    click.echo(
        textwrap.fill(text, WIDTH, initial_indent=indent, subsequent_indent=indent, break_on_hyphens=False)
    )


def say_lines(lines: Iterable[str]) -> None:
    """Lines that are laid out already."""
    for line in lines:
        click.echo(line.rstrip())


def say_next(command: str, purpose: str) -> None:
    """The likely next command: how every command ends."""
    click.echo("")
    line = f"Next: {command}"
    click.echo(
        f"{line}  ({purpose})" if len(line) + len(purpose) + 4 <= WIDTH else f"{line}\n      ({purpose})"
    )


def say_evidence(file: str) -> None:
    """Where evidence was written, and what checks it."""
    say(f"Written: {file} (wordtight check-evidence {typed(file)} checks it)")


def typed(name: str) -> str:
    r"""A name, or what a visitor types, as it has to be typed: in quotes where a shell would take it otherwise.

    >>> print(typed("first.rules"), typed("my sheet.rules"), typed(r"5\n"))
    first.rules "my sheet.rules" "5\n"
    """
    if re.fullmatch(r"[\w.,:/@%+=-]+", name):
        return name
    if not re.search(r"[\"$`!]|\\\\|\\$", name):
        return f'"{name}"'  # which Windows understands as well
    import shlex

    return shlex.quote(name)


def table(titles: Sequence[str], rows: Iterable[Sequence[Any]], right: Sequence[int] = ()) -> list[str]:
    """Columns two spaces apart; the columns numbered in `right` are set to the right.

    What would be too wide is wrapped in its last column, or set one space apart where that holds figures.
    """
    cells = [tuple(titles), *(tuple(str(cell) for cell in row) for row in rows)]
    widths = [max(len(row[column]) for row in cells) for column in range(len(titles))]
    room = WIDTH - sum(widths[:-1]) - 2 * (len(widths) - 1)
    gap = "  "
    if widths[-1] > room and len(widths) - 1 in right:
        gap = " "
    elif widths[-1] > room:
        widths[-1] = max(room, LEAST_COLUMN)
    lines = []
    for row in cells:
        *before, last = row
        for part in textwrap.wrap(last, widths[-1], break_on_hyphens=False) or [""]:
            laid = [
                cell.rjust(width) if column in right else cell.ljust(width)
                for column, (cell, width) in enumerate(zip((*before, part), widths, strict=True))
            ]
            lines.append(gap.join(laid).rstrip())
            before = [""] * len(before)
    titles_end = len(textwrap.wrap(titles[-1], widths[-1])) or 1
    return [*lines[:titles_end], gap.join("-" * width for width in widths), *lines[titles_end:]]


def plural(count: int, one: str, many: str = "") -> str:
    """``1 position``, ``2 positions``; large numbers with commas."""
    return f"{count:,} {one if count == 1 else many or one + 's'}"


def json_option(function: Callable[..., Any]) -> Callable[..., Any]:
    """The option that every command has for machines."""
    return click.option(
        "--json", "as_json", is_flag=True, help="One JSON object for machines, and nothing else."
    )(function)
