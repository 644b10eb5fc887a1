"""The doors for files that people write: games, house rules, strategies, machines, conversations, programs."""

from contextlib import suppress
from functools import cache
from pathlib import Path

import numpy as np

import games
from budget.card import load_machine
from budget.characters import load_characters
from budget.images.formats import formats
from budget.images.image import image_of
from budget.images.load import load_image, load_program, read_rows
from budget.images.proofread import proofread
from budget.machine.simulator import Machine
from budget.programs import program_for, program_of_file
from budget.target.reading import load_sheet
from games.codes import FIRST, UNFINISHED
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from games.problems import BadInput
from solver.load import load_strategy
from tests.attacks.door import Door
from workbench.drill.manner import load_manner
from workbench.drill.reading import Reader
from workbench.grading.rubric import parse_rubric, read_rubric
from workbench.new import template

ROOMS = Path(games.__file__).parent.parent
HOUSED_GAMES = ("noughts-and-crosses", "hexapawn", "pong-hau-ki")
CARDS = ("delay-line", "twelve-bit", "home-1k")
FEW_ORDERS = 200
"""Instructions of a program that are obeyed: it may go round for ever."""


def texts_in(folder, *endings):
    """What lies in a folder of ours, file by file."""
    found = sorted(path for path in (ROOMS / folder).iterdir() if path.suffix in endings)
    return [path.read_bytes() for path in found]


def of_template(kind):
    return template(kind).encode()


# Games and house rules ------------------------------------------------------------------------------------------


def enter_game(file):
    game = load_game(file)
    start = np.array([game.start], dtype=np.uint64)
    assert game.ending(start)[0] == UNFINISHED
    moves = game.moves(start)
    assert len(moves.move) > 0
    assert game.drawing(game.start, FIRST)
    [said] = game.texts(start, FIRST)
    assert game.read(said, FIRST, int(game.mover(start)[0])) == game.start
    assert len(game.texts(moves.child[:20], FIRST))


def enter_house_rules(file):
    for name in HOUSED_GAMES:
        game = load_game(name)
        housed = HousedGame(game, load_house_rules(file, game), FIRST)
        assert len(housed.moves(np.array([housed.start], dtype=np.uint64)).move) > 0


# Strategies -----------------------------------------------------------------------------------------------------


def enter_strategy(file):
    written = load_strategy(file)
    for seat in written.seats:
        strategy = written.strategy(seat)
        moves = written.game.moves(np.array([written.game.start], dtype=np.uint64))
        codes = np.unique(np.append(moves.child, np.uint64(written.game.start)))
        mine = codes[(written.game.ending(codes) == UNFINISHED) & (written.game.mover(codes) == seat)]
        strategy.answers(mine)


def good_sheets():
    banked = texts_in("workbench/coaching/bank", ".rules")
    return [of_template("rules"), *texts_in("examples", ".rules"), *banked[::8]]


def good_tables():
    return [of_template("table"), *texts_in("examples", ".csv")]


# Machines and their programs ------------------------------------------------------------------------------------

SMALL = "start: set -3\n store n\nround: count n\n ifnonzero round\n output\n halt\nn: space 1\n"


@cache
def card_called(name):
    return load_machine(name)


def enter_machine(file):
    card = load_machine(file)
    with suppress(BadInput):  # its programs may have to stand elsewhere
        Machine.loaded(program_for(SMALL, card, "small.orders")).run(FEW_ORDERS)


def enter_program(file):
    for name in CARDS:
        machine = Machine.loaded(program_of_file(file, card_called(name)))
        machine.feed([1, 2, 3])
        machine.run(FEW_ORDERS)


def good_order_sheets():
    return [of_template("order-sheet"), *texts_in("budget/order_sheets", ".toml")]


@cache
def due_image():
    return image_of(program_for(SMALL, card_called(CARDS[0]), "small.orders"))


def good_images():
    return [each.write(due_image(), card_called(CARDS[0])) for each in formats().values()]


def enter_image(file):
    """As a dump that is compared with what is due, and as an image of its own that is run."""
    card = card_called(CARDS[0])
    proofread(due_image(), read_rows(file, card), card)
    load_image(file, card)
    with suppress(BadInput):  # it may not say where it begins
        Machine.loaded(load_program(file, card)).run(FEW_ORDERS)


# What a drill and a class are given ------------------------------------------------------------------------------


def enter_conversation(file):
    for name in HOUSED_GAMES:
        game = load_game(name)
        house = load_house_rules("usual", game)
        Reader(load_manner(str(file), house, game), house).read("I PLAY 5\nYOUR MOVE")


DOORS = {
    "games": Door("my.toml", lambda: texts_in("games/catalogue", ".toml")[::3], enter_game),
    "house-rules": Door("my.toml", lambda: texts_in("games/house_rules", ".toml"), enter_house_rules),
    "rule-sheets": Door("my.rules", good_sheets, enter_strategy),
    "tables": Door("my.csv", good_tables, enter_strategy),
    "machines": Door("my.toml", lambda: texts_in("budget/machines", ".toml"), enter_machine),
    "characters": Door(
        "my.toml", lambda: [of_template("characters")], lambda file: load_characters(str(file))
    ),
    "order-sheets": Door("my.toml", good_order_sheets, lambda file: load_sheet(str(file))),
    "conversations": Door("my.toml", lambda: [of_template("conversation")], enter_conversation),
    "rubrics": Door(
        "my.toml", lambda: [of_template("rubric")], lambda file: parse_rubric(*read_rubric(str(file)))
    ),
    "programs": Door("my.orders", lambda: [of_template("program"), SMALL.encode()], enter_program),
    "images": Door("my.dump", good_images, enter_image),
}
