"""A small program for the drills, and the machine that plays it alone, step by step."""

import re
from functools import cache
from pathlib import Path
from typing import NamedTuple

from budget.card import load_machine
from budget.conversation import Conversation
from budget.drilling.lines import Texts, lines_of
from budget.drilling.sound import play_sound
from budget.lowering.answering.sheet import by_rules
from budget.lowering.lower import lower
from games.house import parse_house_rules
from games.load import parse_game
from solver.fixed import PLAIN, fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy

GAME = """\
kind = "game"
family = "marks"
columns = 2
rows = 2
cells = ["1", "2", "3", "4"]
lines = [["1", "2"], ["3", "4"]]
"""
TERSE = (Path(__file__).parents[3] / "docs" / "terse.toml").read_text(encoding="utf-8")
"""House rules of few words, under which the next game is asked for."""


def terse(next_game):
    """The same, with another way to begin the next game."""
    if next_game == "asked-for":
        return TERSE
    told = TERSE.replace('print = "close"\n', f'print = "close"\nnext-game = "{next_game}"\n')
    return told.replace('[[rule]]\nwhen = ["after-end"]\nsay = ""\n\n', "")


COSTS = """
[[rule]]
when = ["taken-by-machine", "taken-by-visitor"]
say = "!"
cost = "turn"

[[rule]]
when = ["off-board"]
say = "X"
cost = "game"
"""
"""Rules by which a taken cell costs the turn, and a cell off the board the game."""
CHARGES = f"""{COSTS}forgive = 1
say-forgiven = "Y"
"""
"""The same, but off the board costs the game the second time only."""


def charging(house, rules):
    """House rules with some more, which come before the last."""
    before, last, rest = house.rpartition('[[rule]]\nwhen = ["any"]')
    return before + rules + last + rest


BEGINS = re.compile(r"^start: +(game: +)?set 0\b", re.MULTILINE)
"""Where a built program starts, and where it begins every game; whether or not it names that."""


def begun_otherwise(text, begins):
    """A program that does something else at its start; `game` is the label in it where every game begins."""
    text, found = BEGINS.subn(f"           jump game\n{begins}\n           set 0", text)
    assert found == 1
    return text


class Small(NamedTuple):
    play: object
    talk: Conversation
    texts: Texts
    lines: object
    program: object
    sound: object
    text: str


@cache
def small(check="none", next_game="asked-for", machine="twelve-bit", seat=1, keep=False, charges=""):
    game = parse_game(GAME, "three.toml")
    house = parse_house_rules(charging(terse(next_game), charges), "terse.toml", game)
    sheet = ["complete a line", "block a line", "take any free cell"]
    rules = SheetReader("", sheet, game).read(0)
    play = fix(prove(Strategy("s", "", game, seat, rules), "never-loses", house), PLAIN)
    card = load_machine(machine)
    lowered = lower(play, card, by_rules, check=check, keep_verdicts=keep)
    program = lowered.program
    talk = Conversation(play, card, thorough=False)
    texts = Texts(play, card, talk)
    lines = lines_of(texts, talk)
    return Small(play, talk, texts, lines, program, play_sound(program, lines), lowered.text)
