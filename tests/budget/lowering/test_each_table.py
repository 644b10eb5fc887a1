"""Each table alone, without the rest of a program: on words from four bits on, every stored board has its move.

On short words a number of the board, a key, or the place of a field takes several of them, as on real machines the
tables of larger games do.
"""

from functools import cache
from importlib.resources import files
from types import SimpleNamespace

import pytest

from budget.boards import numberings
from budget.card import parse_machine
from budget.encodings import encodings
from budget.lowering.choices import Choices
from budget.lowering.digits import bases_of, digits_of
from budget.lowering.ground import Digit
from budget.lowering.text import PROGRAM, Text, composed
from budget.machine.assembler import assemble
from budget.machine.simulator import HALTED, Machine
from games.codes import FIRST
from solver.fixed import PLAIN
from tests.budget.plays import any_move, housed, play_of

ENCODINGS = ("dense", "diagram", "hashed", "sorted-keys", "sorted-keys-halved")
PLAYS = ("nim-1-2-3", "two-by-two")
MOST = 6
"""Boards that are tried, from the first to the last."""


@cache
def card(bits):
    text = files("budget").joinpath("machines", "kit-96.toml").read_text("utf-8")
    text = text.replace("store-words = 96", "store-words = 2048").replace(
        "word-bits = 4", f"word-bits = {bits}"
    )
    return parse_machine(text, "roomy.toml")


@cache
def played(name):
    return play_of(housed(name, "usual", FIRST), PLAIN, any_move(3))


def written(name, play, layout, bits):
    """A program that finds the move of the board in its words, and halts."""
    packed = encodings()[name].lay_out(play).pack_as(layout, bits)
    text, bases = Text(card(bits)), bases_of(play)
    text.variable("cell", len(bases))
    text.variable("move")
    text.label("start")
    digits = tuple(Digit(f"cell+{place}", base) for place, base in enumerate(bases))
    setting = SimpleNamespace(
        text=text, play=play, game=play.game.fair, moves=len(play.game.fair.move_names), choices=Choices()
    )
    encodings()[name].decoder(setting, SimpleNamespace(digits=lambda: digits), packed).answer("found")
    text.label("found")
    text.op("halt")
    rows = [row for part in (text.rows[PROGRAM], *text.routines.values()) for row in part]
    return assemble(composed(text.card, {**text.rows, PROGRAM: rows}).text, text.card)


def found(program, digits):
    """The word `move`, whatever stood in the store before."""
    machine = Machine.loaded(program, fill=5)
    for place, digit in enumerate(digits):
        machine.store[program.labels["cell"] + place] = digit
    assert machine.run() == HALTED
    return machine.store[program.labels["move"]]


CASES = [
    (name, game, layout, bits)
    for game in PLAYS
    for name in ENCODINGS
    for layout in range(2 if name.startswith("sorted") else 1)
    for bits in (4, 5, 8, 13)
    if (name, layout, bits) != ("sorted-keys", 1, 13)  # two keys to a word, whose place in it is not kept
]


@pytest.mark.parametrize(("name", "game", "layout", "bits"), CASES)
def test_every_board_has_its_move(name, game, layout, bits):
    play = played(game)
    program = written(name, play, layout, bits)
    numbers = numberings(play.game)[0](play.codes)
    count = len(play.game.fair.move_names)
    for place in range(0, len(play.codes), max(1, len(play.codes) // MOST)):
        digits = digits_of(numbers[[place]], bases_of(play))[0].tolist()
        assert found(program, digits) == (int(play.moves[place]) - count) % (1 << bits)
