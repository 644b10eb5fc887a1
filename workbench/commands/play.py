"""`wordtight play`: a game at the terminal."""

import sys
from collections.abc import Iterator

import click

from games.codes import PLAYERS
from solver.load import Written
from workbench.asked import Asked
from workbench.options import house_option, one_seat_option
from workbench.output import say, say_lines, say_next, typed
from workbench.play import Odds, Session
from workbench.progress import ProgressLine

END = ("q", "quit", "end of play")
LONGEST_LINE = 10_000
"""Bytes; what is longer is too long under any house rules, and its rest is not kept."""


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
    play_against(Asked(strategy, game, seat, house_rules=house_rules).written())
    say_next(f"wordtight prove {typed(strategy)}", "the truth about it")


def play_against(written: Written) -> None:
    """Game after game against a strategy for one seat, and what there is to be found in it."""
    session = Session(written.strategy(written.seats[0]), written.house)
    seat = PLAYERS[session.game.seat]
    say(
        f"{written.game.title}: you are V, the machine is M and moves {seat}. "
        f"Type your move, such as {session.example()}; {_end_words(session)[0]} ends the play."
    )
    with ProgressLine() as progress:
        odds = session.odds(progress)
    what = "table" if written.is_table else "sheet"
    say(_hole(odds, 0, what))
    for finding in _games(session):
        say(_hole(odds, finding, what))


def _hole(odds: Odds | None, found: int, what: str) -> str:
    """How much there is to be found, and how much of it has been."""
    if odds is None:
        return "Its lines of play cannot be counted: play can go round, or there are too many."
    if not odds.losing:
        return f"None of the {odds.lines:,} lines beats this {what}."
    beat = "line beats" if odds.losing == 1 else "lines beat"
    so_far = "nobody has found one yet" if not found else f"{found:,} found so far"
    return f"{odds.losing:,} of {odds.lines:,} {beat} this {what}; {so_far}."


def _end_words(session: Session) -> list[str]:
    """What ends the play: a word that is no move."""
    return [word for word in END if session.game.shape.move_named(word.encode()) is None] or ["Ctrl-D"]


def _games(session: Session) -> Iterator[int]:
    """Game after game until the visitor has had enough or the input ends; after each, how many holes were found."""
    said = session.begin()
    while True:
        say()
        say_lines(f"  {row}" for row in session.drawing())
        for line in said:
            say(line)
        if session.is_over or session.is_stuck:
            yield len(session.found)
        text = _ask(session)
        if text is None or text.decode("ascii", "replace").strip().lower() in _end_words(session):
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
        f"Return: another game. {_end_words(session)[0]}: enough"
        if session.is_over or session.is_stuck
        else session.house.messages["ask"]
    )
    click.echo(f"{again}? ", nl=False)
    sys.stdout.flush()
    line = rest = sys.stdin.buffer.readline(LONGEST_LINE)
    while rest and not rest.endswith(b"\n"):
        rest = sys.stdin.buffer.readline(LONGEST_LINE)
    if not sys.stdin.isatty():
        click.echo("")  # the Return that a person would have typed
    return line.rstrip(b"\r\n") if line else None
