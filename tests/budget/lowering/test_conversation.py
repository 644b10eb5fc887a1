"""Programs of noughts and crosses say what they should: both seats, all house rules, by line and by key."""

from pathlib import Path

import numpy as np
import pytest

import games.house
from budget.card import load_machine
from budget.closing import Differs, close
from budget.conversation import Conversation
from budget.programs import program_for
from games.codes import FIRST, SECOND
from games.house import parse_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.fixed import PLAIN
from tests.budget.lowering.naive import closed, lowered
from tests.budget.plays import legal, never_losing, play_of

FOLDER = Path(games.house.__file__).parent / "house_rules"
HOUSES = ("usual", "lost-turn", "three-warnings")
CARD = load_machine("twelve-bit")
LINE, KEY, CLOSE, AT_ONCE = 'input = "line"', 'input = "key"', 'print = "close"', 'next-game = "at-once"'


def house(name, *keys, game="noughts-and-crosses"):
    """House rules that come with Wordtight, read and told in another way."""
    text = (FOLDER / f"{name}.toml").read_text(encoding="utf-8")
    lines = [
        line for line in text.splitlines() if not (KEY in keys and line.startswith(("input", "longest")))
    ]
    at = next(number for number, line in enumerate(lines) if line.startswith("kind")) + 1
    return parse_house_rules("\n".join([*lines[:at], *keys, *lines[at:]]), f"{name}.toml", load_game(game))


def short_game(game, code):
    """The move that ends the game at once, if there is one, else the last that there is."""
    moves, children = legal(game, code)
    endings = game.fair.ending(np.array(children, dtype=np.uint64))
    return moves[int(endings.argmax())] if endings.any() else moves[-1]


def some_play(seat, rules, choose=None, game="noughts-and-crosses"):
    """A play that wins, loses and draws, unless it is chosen otherwise."""
    game = HousedGame(load_game(game), rules, seat)
    return play_of(game, PLAIN, choose(game) if choose else short_game)


CARD_OF = {
    (FIRST, "usual", LINE): "twelve-bit",
    (FIRST, "usual", KEY): "transistor-39",
    (FIRST, "lost-turn", LINE): "flash-8k",
    (FIRST, "lost-turn", KEY): "twelve-bit",
    (FIRST, "three-warnings", LINE): "drum-desk",
    (FIRST, "three-warnings", KEY): "twelve-bit",
    (SECOND, "usual", LINE): "rom-4k",
    (SECOND, "usual", KEY): "drum-desk",
    (SECOND, "lost-turn", LINE): "transistor-39",
    (SECOND, "lost-turn", KEY): "twelve-bit",
    (SECOND, "three-warnings", LINE): "flash-8k",
    (SECOND, "three-warnings", KEY): "transistor-39",
}


def slow_ones_later(way):
    """Turns that are lost make many positions, and so do warnings and the second seat."""
    is_slow = way[1] != "usual" or way[0] == SECOND
    return pytest.param(*way, marks=pytest.mark.long if is_slow else ())


@pytest.mark.parametrize(("seat", "name", "form"), [slow_ones_later(way) for way in CARD_OF])
def test_says_what_it_should(seat, name, form):
    closed(
        some_play(seat, house(name, form)), load_machine(CARD_OF[seat, name, form]), thorough=seat == FIRST
    )


@pytest.mark.parametrize(
    "keys",
    [(CLOSE, AT_ONCE, KEY), *(pytest.param(keys, marks=pytest.mark.long) for keys in [(CLOSE,), (AT_ONCE,)])],
)
@pytest.mark.parametrize(
    "name",
    [pytest.param(name, marks=pytest.mark.long if name == "three-warnings" else ()) for name in HOUSES],
)
def test_printed_and_begun_in_other_ways(name, keys):
    closed(some_play(FIRST, house(name, *keys)), load_machine("home-1k"))


@pytest.mark.long
def test_play_that_never_loses():
    play = some_play(FIRST, house("usual"), never_losing)
    program = lowered(play, CARD)
    assert "YOU WIN" not in program.text
    closed(play, CARD, fill=0o7777)
    assert "YOU WIN" in lowered(play, CARD, keep_verdicts=True).text
    closed(play, CARD, keep_verdicts=True)


# Mistakes ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rules", "before", "after"),
    [
        ("three-warnings", "set -3", "set -2"),  # a warning less
        ("usual", "plus -48", "plus -49"),  # 0 is not taken to be a digit any more
        ("usual", "call say", "call start"),  # a message goes unsaid
        ("lost-turn", "plus -58", "plus -57"),  # each key is another cell
    ],
)
def test_mistake_is_noticed(rules, before, after):
    play = some_play(FIRST, house(rules))
    written = lowered(play, CARD)
    assert before in written.text
    program = program_for(written.text.replace(before, after, 1), CARD, "wrong")
    with pytest.raises(Differs):
        close(program, Conversation(play, CARD))
