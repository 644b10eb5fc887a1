"""The options that say in which form a strategy becomes a program."""

import click

from budget.building import Wish
from budget.encodings import encodings
from budget.forms import AS_WRITTEN
from budget.lowering.checksum import AT_START, BETWEEN_GAMES, NO_CHECK
from games.problems import listed, near_miss
from workbench.options import Decorated


def encoding_option(function: Decorated) -> Decorated:
    """In which form a strategy becomes a program."""
    return click.option(
        "--encoding", metavar="E", help="Only this form: as-written, or an encoding such as sorted-keys."
    )(function)


def program_options(function: Decorated) -> Decorated:
    """In which form, and what the program does beside playing; `wish_for` reads them."""
    flags = {
        "--check-sum": "The program sums its own words when it is started.",
        "--check-between": "The same, and again before every game.",
        "--keep-verdicts": "Tell endings, too, that are proved never to happen.",
    }
    for name, text in reversed(flags.items()):  # decorators go from the last to the first
        function = click.option(name, is_flag=True, help=text)(function)
    return encoding_option(function)


def wish_for(encoding: str | None, *, check_sum: bool, check_between: bool, keep_verdicts: bool) -> Wish:
    """What is to be built.  Raises UsageError for a form that there is not."""
    check_form(encoding)
    check = BETWEEN_GAMES if check_between else AT_START if check_sum else NO_CHECK
    return Wish(encoding, check, keep_verdicts)


def check_form(name: str | None) -> None:
    """Raise UsageError for a form that there is not."""
    known = (AS_WRITTEN, *encodings())
    if name is not None and name not in known:
        raise click.UsageError(f"--encoding: expected {listed(known)}, not '{name}'{near_miss(name, known)}")
