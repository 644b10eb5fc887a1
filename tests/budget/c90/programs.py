"""Programs in C for the tests: made of a play, linked, and played through everything."""

import pytest

from budget.c90.program import written
from budget.card import load_machine
from budget.conversation import Conversation
from budget.lowering.choices import Choices
from budget.toolchains.drill import drill, everything
from budget.toolchains.making import toolchain_of
from games.house import parse_house_rules
from games.load import load_game
from games.problems import BadInput
from solver.fixed import PLAIN, fix
from solver.load import load_strategy
from solver.proof import prove

CAREFUL = "game: noughts-and-crosses\nseat: first\ncomplete a line\nblock a line\n"


def installed(machine):
    """Skip, with one clear line, where a tool of a machine is missing."""
    try:
        toolchain_of(load_machine(machine))
    except BadInput as bad:
        pytest.skip(str(bad.problems[0].message))


def house(text, game="noughts-and-crosses"):
    return parse_house_rules(text, "house.toml", load_game(game))


def sheet_play(folder, text, house_rules="usual", reading=PLAIN):
    """The play of a rule sheet, settled in a reading."""
    file = folder / "sheet.rules"
    file.write_text(text)
    if "\n" in house_rules:
        rules = folder / "house.toml"
        rules.write_text(house_rules)
        house_rules = str(rules)
    strategy = load_strategy(str(file), game=None, seat=None, claim=None, house_rules=house_rules)
    proof = prove(strategy.strategy(strategy.seats[0]), strategy.claim, strategy.house)
    return fix(proof, reading)


def written_as(play, form, picked=None, machine="host"):
    """The text of a program, and what else each of its parts could have been."""
    choices = Choices(picked)
    return written(play, form, load_machine(machine), choices).text, choices.offered


def drilled_text(text, play, machine="host", *, thorough=False):
    """What is found when the program of a text is played through everything."""
    card = load_machine(machine)
    toolchain = toolchain_of(card)
    due = everything(Conversation(play, card, thorough=thorough))
    return drill(toolchain, toolchain.link(text), due, card)
