"""The option that says in which form a strategy becomes a program."""

import click

from budget.encodings import encodings
from budget.forms import AS_WRITTEN
from games.problems import listed, near_miss
from workbench.options import Decorated


def encoding_option(function: Decorated) -> Decorated:
    """In which form a strategy becomes a program."""
    return click.option(
        "--encoding", metavar="E", help="Only this form: as-written, or an encoding such as sorted-keys."
    )(function)


def check_form(name: str | None) -> None:
    """Raise UsageError for a form that there is not."""
    known = (AS_WRITTEN, *encodings())
    if name is not None and name not in known:
        raise click.UsageError(f"--encoding: expected {listed(known)}, not '{name}'{near_miss(name, known)}")
