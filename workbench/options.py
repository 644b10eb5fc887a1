"""Options that several commands share."""

from collections.abc import Callable
from typing import Any

import click

from games.codes import PLAYERS
from solver.header import CLAIMS, SEATS
from workbench.output import typed

Decorated = Callable[..., Any]


def game_option(function: Decorated) -> Decorated:
    """Which game, where the file does not say."""
    return click.option(
        "--game", metavar="GAME", help="The game: a name of the catalogue, or a .toml or .py file."
    )(function)


def one_seat_option(function: Decorated) -> Decorated:
    """In which seat the machine sits."""
    return click.option(
        "--seat", type=click.Choice(PLAYERS), help="Whether the machine moves first or second."
    )(function)


def seats_option(function: Decorated) -> Decorated:
    """In which seat the machine sits, or both in turn."""
    return click.option(
        "--seat", type=click.Choice(SEATS), help="Whether the machine moves first or second, or both."
    )(function)


def claim_option(function: Decorated) -> Decorated:
    """What is to be proved."""
    return click.option(
        "--claim", type=click.Choice(CLAIMS), help="What is to be proved; never-loses unless told."
    )(function)


def house_option(function: Decorated) -> Decorated:
    """Which house rules hold."""
    return click.option(
        "--house-rules",
        metavar="FILE",
        help="How wrong input is answered: a .toml file, or usual, lost-turn, ...",
    )(function)


def machine_option(function: Decorated) -> Decorated:
    """Which machine."""
    return click.option(
        "--machine",
        required=True,
        metavar="M",
        help="The machine: a name such as twelve-bit, or a .toml file.",
    )(function)


def evidence_option(rests: str) -> Callable[[Decorated], Decorated]:
    """Where to write what stands behind an answer; rests: what that is."""
    return click.option(
        "--evidence",
        "evidence_file",
        metavar="FILE",
        help=f"Write down {rests}, for wordtight check-evidence.",
    )


def strategy_argument(function: Decorated) -> Decorated:
    """The strategy's file."""
    return click.argument("strategy", type=click.Path(dir_okay=False))(function)


def carried(**options: str | None) -> str:
    """The options that made an answer, to be typed again with the next command: `` --seat first``, or nothing."""
    given = ((name.replace("_", "-"), value) for name, value in options.items() if value is not None)
    return "".join(f" --{name} {typed(value)}" for name, value in given)
