"""The doors for what is typed and printed: command lines, visitors, positions, and what a drilled program prints."""

import io
import shlex
from contextlib import redirect_stderr, redirect_stdout, suppress
from functools import cache

import click
import numpy as np

from games.house import load_house_rules
from games.housed import HousedGame
from solver.engines import solve_game
from solver.load import load_strategy
from tests.attacks.door import Door
from tests.attacks.kept import asked, game, scratch
from workbench.coaching.position import read_position
from workbench.drill.process import ENDED, FLOOD, LATE, WAITS, Heard
from workbench.main import COMMANDS, WISHES, commands
from workbench.play import Session

MOST_LINES = 30
"""Inputs of a visitor's that are taken."""


# What a drilled program prints ------------------------------------------------------------------------------------


def enter_print_out(file):
    """As a drill hears it: at the start, and after a move and wrong input, however it has ended."""
    judge, text = asked().judge, file.read_bytes().decode("utf-8", "replace")
    waiting = asked().waiting()
    rules = judge.rules
    waiting.is_met(text)
    if waiting.may_settle(text):
        waiting.learn(text)
    spot = rules.spot(game().start)
    after = spot.moves[min(spot.moves)]
    entries = [*rules.legal_entries(after)[:1], *rules.wrong_entries(after, all_of_them=False)[:2]]
    for how, status in ((WAITS, None), (ENDED, 0), (ENDED, -9), (LATE, None), (FLOOD, None)):
        heard = Heard(text, how, status)
        judge.opening(heard)
        for entry in entries:
            judge.answer(after, is_over=False, entry=entry, heard=heard)
        judge.answer(after, is_over=True, entry=rules.again(), heard=heard)


PRINTED = (
    "I PLAY A1\nYOUR MOVE ",
    "TAKEN. AGAIN\nYOUR MOVE",
    "I PLAY A2\nI WIN\nI PLAY A1\nYOUR MOVE",
    "1 | 2 | X\n--+---+--\nmy move: b2\nit is a tie",
)


# What people type -------------------------------------------------------------------------------------------------


@cache
def played():
    """A strategy for both seats, its game solved, and house rules that charge."""
    sheet = scratch()[1] / "played.rules"
    sheet.write_text("game: hexapawn\nseat: both\n\nlook ahead 1 ply\n", encoding="utf-8")
    written = load_strategy(sheet)
    return written, solve_game(written.game)


def enter_typed(file):
    """A visitor's inputs, a line each, in a game against a strategy."""
    written, _ = played()
    house = load_house_rules("lost-turn", written.game)
    session = Session(written.strategy(1), house)
    session.begin()
    for line in file.read_bytes().split(b"\n")[:MOST_LINES]:
        for said in session.enter(line):
            assert said.isprintable()
    assert session.drawing()


def enter_position(file):
    """A position as `explain` takes it: moves, or a board."""
    written, solved = played()
    housed = HousedGame(written.game, load_house_rules("usual", written.game), 0)
    words = file.read_bytes().decode("utf-8", "surrogateescape").split()
    found = read_position(words, housed, written.strategy(0), solved)
    assert not housed.ending(np.array([found.code], dtype=np.uint64))[0]


def enter_command_line(file):
    """The words of a command line are understood, or one line says what is expected; nothing is done."""
    try:
        words = shlex.split(file.read_bytes().decode("utf-8", "surrogateescape"))
    except ValueError:
        return  # no shell would pass it on
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()), suppress(click.exceptions.Exit):
        try:
            # with the settings of the real one: click keeps the help option that it makes first
            context = click.Context(commands, info_name="wordtight", **commands.context_settings)
            name, command, rest = commands.resolve_command(context, words or ["--help"])
            command.make_context(name, rest, parent=context)
        except click.ClickException as error:
            told = " ".join(error.format_message().split())
            assert told


def good_command_lines():
    """What the help tells people to type, and the options of every command, a line each with a value."""
    lines = [wish[-1].removeprefix("wordtight ") for wish in WISHES]
    for name in COMMANDS:
        options = commands.get_command(None, name).params
        words = [f"{each.opts[0]} 1" for each in options if isinstance(each, click.Option)]
        lines += [f"{name} {' '.join(words[at : at + 3])} x" for at in range(0, len(words), 3)]
    return [line.encode() for line in lines]


DOORS = {
    "print-outs": Door("my.out", lambda: [text.encode() for text in PRINTED], enter_print_out),
    "visitors": Door("my.in", lambda: [b"2-5\n\n?\n1-4\n9\n", b"1-4"], enter_typed),
    "positions": Door("my.in", lambda: [b"7-4 2-5", b"V_V/MV_/_MM", b"7-4,3-6"], enter_position),
    "command-lines": Door("my.line", good_command_lines, enter_command_line),
}
