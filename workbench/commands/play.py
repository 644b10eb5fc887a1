"""`wordtight play`: a game at the terminal."""

import sys

import click

from games.problems import bad
from solver.load import load_strategy
from workbench.options import house_option, one_seat_option
from workbench.output import say, say_lines, say_next
from workbench.play import Odds, Session

END = (b"q", b"quit")
LONGEST_LINE = 10_000
"""Bytes; whatever is longer is taken in pieces."""


@click.command("play")
@click.argument("game")
@click.option(
    "--against",
    "strategy",
    required=True,
    metavar="STRATEGY",
    help="The rule sheet or table to play against.",
)
@one_seat_option
@house_option
def command(game: str, strategy: str, seat: str | None, house_rules: str | None) -> None:
    """Play GAME against a strategy, under its house rules, and try to beat it.

    Return on an empty line after the end begins a new game; q ends the play.
    """
    written = load_strategy(strategy, game=game, seat=seat, house_rules=house_rules)
    if len(written.seats) > 1:
        raise bad("this sheet plays in both seats; expected --seat first or --seat second", strategy)
    session = Session(written.strategy(written.seats[0]), written.house)
    say(
        f"{written.game.title}: you are V, the machine is M and moves "
        f"{'first' if session.game.seat == 0 else 'second'}. Type a free cell; q ends the play."
    )
    odds = session.odds()
    say(_hole(odds, 0))
    _games(session, odds)
    say_next(f"wordtight prove {strategy}", "the truth about it")


def _hole(odds: Odds, found: int) -> str:
    """How much there is to be found, and how much of it has been."""
    if odds.lines is None:
        return "Play can go on for ever here, so its lines cannot be counted."
    if not odds.losing:
        return f"None of the {odds.lines:,} lines beats this sheet."
    beat = "line beats" if odds.losing == 1 else "lines beat"
    so_far = "nobody has found one yet" if not found else f"{found:,} found so far"
    return f"{odds.losing:,} of {odds.lines:,} {beat} this sheet; {so_far}."


def _games(session: Session, odds: Odds) -> None:
    """Game after game until the visitor has had enough or the input ends."""
    said = session.begin()
    while True:
        say()
        say_lines(f"  {row}" for row in session.drawing())
        say_lines(said)
        if session.is_over or session.is_stuck:
            say(_hole(odds, len(session.found)))
        text = _ask(session)
        if text is None or text.strip().lower() in END:
            say()
            return
        said = _answer(session, text)


def _answer(session: Session, text: bytes) -> list[str]:
    """What the machine says to a typed line."""
    if (session.is_over or session.is_stuck) and not text.strip():
        return session.begin()
    said: list[str] = []
    for one in session.inputs_in(text):
        said.extend([] if session.is_stuck else session.enter(one))
    return said


def _ask(session: Session) -> bytes | None:
    """One input, without its line end; None when there is no more."""
    again = (
        "Return: another game. q: enough"
        if session.is_over or session.is_stuck
        else session.house.messages["ask"]
    )
    click.echo(f"{again}? ", nl=False)
    sys.stdout.flush()
    line = sys.stdin.buffer.readline(LONGEST_LINE)
    if not sys.stdin.isatty():
        click.echo("")  # the Return that a person would have typed
    return line.rstrip(b"\r\n") if line else None
