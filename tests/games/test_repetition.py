"""A limit of repetitions over games of several families: what stays, what is said, and how it is read."""

import copy
import pickle

import numpy as np
import pytest

from games.codes import FIRST
from games.game import on_board, with_lines
from games.house import load_house_rules
from games.housed import HousedGame
from games.limited import ENDLESS
from games.load import load_game, parse_game
from games.own.lawful import problems_of
from games.problems import BadInput
from games.repetition import RepeatedGame, ordinal, repeated, repetition_limit, without_repetition_limit
from solver.graph import explore

FILE = 'kind = "game"\nfamily = "{}"\n{}{}\n'
MARKS, MORRIS = "columns = 3\nrows = 3\nin-a-row = 3\n", "columns = 3\nrows = 3\nin-a-row = 3\nmen = 3\n"


@pytest.mark.parametrize("name", ["three-mens-morris", "pong-hau-ki", "dodgem", "northcott"])
def test_nothing_changes_but_the_rules(name):
    game = load_game(name)
    short = repeated(game, 3)
    whole, same = explore(game), explore(short)
    for part in ("codes", "parent", "move", "child", "mover", "ending"):
        assert np.array_equal(getattr(whole, part), getattr(same, part))
    assert (on_board(short) is None) == (on_board(game) is None)
    assert with_lines(short) is None
    assert short.can_repeat
    assert short.texts(whole.codes[:9], FIRST) == game.texts(whole.codes[:9], FIRST)
    assert set(game.rules) - set(short.rules) == {ENDLESS}
    assert short.rules[-1] == "When a position comes for the 3rd time, the game is a draw."
    assert without_repetition_limit(short) is game is without_repetition_limit(game)


def test_it_is_told_with_house_rules_and_without():
    game = load_game("pong-hau-ki")
    short = repeated(game, 4)
    assert (repetition_limit(game), repetition_limit(short)) == (None, 4)
    house = load_house_rules("lost-turn", short)
    assert repetition_limit(HousedGame(short, house, FIRST)) == 4
    assert repetition_limit(HousedGame(game, house, FIRST)) is None


def test_it_is_as_lawful_as_the_game_and_can_be_copied():
    short = repeated(load_game("pong-hau-ki"), 2)
    assert problems_of(short, 1_000) == []
    for twin in (copy.copy(short), copy.deepcopy(short), pickle.loads(pickle.dumps(short))):
        assert repetition_limit(twin) == 2
        assert twin.move_names == short.move_names
    with pytest.raises(AttributeError, match="holds_no_such_thing"):
        _ = short.holds_no_such_thing
    with pytest.raises(AttributeError, match=r"^endless$"):
        _ = RepeatedGame.__new__(RepeatedGame).endless


def test_every_family_in_which_positions_come_back_takes_it_from_its_file():
    assert repetition_limit(parse_game(FILE.format("steps", MORRIS, "repetition-limit = 3"), "x.toml")) == 3
    strips = 'play = "northcott"\nstrips = ["F_S", "F_S"]\n'
    assert repetition_limit(parse_game(FILE.format("take", strips, "repetition-limit = 2"), "x.toml")) == 2
    assert repetition_limit(parse_game(FILE.format("steps", MORRIS, "ply-limit = 0"), "x.toml")) is None


@pytest.mark.parametrize(
    ("family", "keys", "limit", "said"),
    [
        ("steps", MORRIS, "repetition-limit = 1", "'repetition-limit' should be a whole number from 2 to 1000, not 1"),
        ("steps", MORRIS, "repetition-limit = 0", "'repetition-limit' should be a whole number from 2 to 1000, not 0"),
        ("steps", MORRIS, 'repetition-limit = "3"', "'repetition-limit' should be a whole number from 2 to 1000"),
        ("steps", MORRIS, "repetition-limit = true", "'repetition-limit' should be a whole number from 2 to 1000"),
        (
            "steps", MORRIS + "ply-limit = 9\n", "repetition-limit = 3",
            "with 'ply-limit' no play goes on for ever; expected 'ply-limit' or 'repetition-limit', not both",
        ),
        (
            "marks", MARKS, "repetition-limit = 3",
            "in this game no position comes back; expected no 'repetition-limit'",
        ),
    ],
)  # fmt: skip
def test_a_limit_that_cannot_be_is_refused(family, keys, limit, said):
    with pytest.raises(BadInput) as caught:
        parse_game(FILE.format(family, keys, limit), "bad.toml")
    [problem] = caught.value.problems
    assert problem.message.startswith(said)
    assert problem.line == len(keys.splitlines()) + 3


@pytest.mark.parametrize(
    ("number", "said"),
    [
        (2, "2nd"),
        (3, "3rd"),
        (4, "4th"),
        (11, "11th"),
        (12, "12th"),
        (13, "13th"),
        (21, "21st"),
        (112, "112th"),
    ],
)
def test_ordinals(number, said):
    assert ordinal(number) == said
