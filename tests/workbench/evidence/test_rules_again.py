"""The checker's own rules of the three families against the games themselves: moves, endings, texts, wrong input."""

import random
import tomllib
from pathlib import Path

import numpy as np
import pytest

import games
from games.codes import DRAW, FIRST_WINS, SECOND_WINS, UNFINISHED
from games.house import load_house_rules, parse_house_rules
from games.housed import HousedGame
from games.load import catalogue_names, game_text, load_game, parse_game
from tests.sampled import sampled
from workbench.evidence.checker.house_rules import FAMILIES, Housed

RESULTS = {UNFINISHED: None, DRAW: "draw", FIRST_WINS: "first", SECOND_WINS: "second"}
HOUSES = sorted((Path(games.__file__).parent / "house_rules").glob("*.toml"))
KNOWN = [name for name in catalogue_names() if tomllib.loads(game_text(name))["family"] in FAMILIES]
ODD = {
    "short keys": ("noughts-and-crosses", 'input = "key"'),
    "one character": ("falling-three-4x3", 'input = "key"'),
    "no room for a digit more": ("four-by-three", "longest = 2"),
    "any": ("mu-torere", "longest = 5"),
}
OWN_GAMES = """
family = "marks"; columns = 4; rows = 3; holes = ["b2"]; lines = [["a1", "b1"], ["a3", "b3", "c3"]]; misere = true
ply-limit = 5
--
family = "steps"; columns = 3; rows = 3; in-a-row = 3; men = 3; lines-while-placing = "wait"; blocked = "passes"
--
family = "steps"; columns = 3; rows = 3; in-a-row = 3; lines-while-placing = "never"; pattern = "centre-diagonals"
start = ["FFF", "___", "SSS"]; begins = "second"
--
family = "steps"; columns = 4; rows = 2; in-a-row = 2; men = 2; barred = ["b1"]; barred-to = "each-first-man"
pattern = "all-neighbours"; guarded = ["c2"]; guarded-moves = 2; blocked = "draws"
--
family = "advance"; columns = 4; rows = 3; steps = ["forward", "sideways"]; must-capture = true
far-edge = "nothing"; no-men = "draws"; blocked = "wins"
--
family = "advance"; columns = 3; rows = 4; first-goes = "right"; second-goes = "down"; far-edge = "leaves"
captures = ["forward"]; blocked = "passes"; start = ["_SS", "F__", "F__", "___"]
""".replace("; ", "\n").split("--\n")
"""Keys that no game of the catalogue uses."""


def hold(game, text, house, house_text, seat, positions):
    """Both go through the same positions, picked at random, and never differ."""
    ours = HousedGame(game, house, seat)
    theirs = Housed(tomllib.loads(text), tomllib.loads(house_text), seat)
    pick, met, waiting = random.Random(1), {}, [(ours.start, theirs.start)]
    while waiting and len(met) < positions:
        code, state = waiting.pop(pick.randrange(len(waiting)))
        if state in met:
            assert met[state] == code
            continue
        met[state] = code
        codes = np.array([code], dtype=np.uint64)
        ending = RESULTS[int(ours.ending(codes)[0])]
        assert (theirs.ending(state), theirs.text(state)) == (ending, ours.text(code))
        if ending is not None:
            continue
        assert theirs.mover(state) == ours.mover(codes)[0]
        moves, again = ours.moves(codes), theirs.moves(state)
        named = {
            ours.move_names[move]: int(child) for move, child in zip(moves.move, moves.child, strict=True)
        }
        assert named.keys() == again.keys(), (state, named.keys() ^ again.keys())
        if theirs.charges and theirs.mover(state) != seat and len(met) % 5 == 1:  # slow with us
            assert {name for name, there in ours.possible(codes).items() if there[0]} == theirs.possible(
                state[0]
            )
        waiting += [(child, again[name]) for name, child in named.items()]
    assert len(met) == positions or not waiting


@pytest.mark.parametrize("name", sampled(KNOWN, 12, 5))
def test_games_of_the_catalogue(name):
    game = load_game(name)
    for place, house in enumerate(HOUSES):
        rules = load_house_rules(house.stem, game)
        hold(game, game_text(name), rules, house.read_text("utf-8"), place % 2, 20)


@pytest.mark.parametrize("text", OWN_GAMES, ids=range(len(OWN_GAMES)))
def test_games_with_keys_of_their_own(text):
    text = f'kind = "game"\n{text}'
    game = parse_game(text, "own.toml")
    house = (Path(games.__file__).parent / "house_rules" / "lost-turn.toml").read_text("utf-8")
    charging = house.replace(
        'say = "AGAIN"', 'say = "AGAIN"\ncost = "turn"\nforgive = 2\nsay-forgiven = "NO"'
    )
    for seat in (0, 1):
        hold(game, text, parse_house_rules(charging, "own.toml", game), charging, seat, 30)


@pytest.mark.parametrize(("name", "keys"), list(ODD.values()), ids=list(ODD))
def test_how_input_is_read(name, keys):
    game = load_game(name)
    text = f'kind = "house-rules"\n{keys}\n[[rule]]\nwhen = ["off-board"]\nsay = "NO"\ncost = "turn"\n'
    hold(game, game_text(name), parse_house_rules(text, "odd.toml", game), text, 1, 10)
