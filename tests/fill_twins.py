"""Games that fill up made twice: once for the rooms and once for the naive model, drawn at random or given."""

from typing import NamedTuple

import numpy as np
from hypothesis import strategies as st

from games.game import Game
from games.house import parse_house_rules
from games.housed import HousedGame
from games.inputs import classes_of
from games.load import parse_game
from tests import naive_fill as naive

GAME = 'kind = "game"\nfamily = "fill"\n'


class Twins(NamedTuple):
    """A game and its naive model."""

    game: Game
    model: object


def game_of(play, columns, rows, **keys):
    text = GAME + f'play = "{play}"\ncolumns = {columns}\nrows = {rows}\n'
    written = {True: "true", False: "false"}
    text += "".join(f"{key} = {written.get(value, value) if isinstance(value, bool) else list(value)}\n"
                    for key, value in keys.items()).replace("'", '"')  # fmt: skip
    return parse_game(text, "drawn.toml")


def small_rectangles(most):
    sizes = [(columns, rows) for columns in range(1, 6) for rows in range(1, 6) if columns * rows <= most]
    return st.sampled_from(sizes)


@st.composite
def dominoes(draw):
    columns, rows = draw(small_rectangles(9).filter(lambda size: size[1] > 1))
    holes = draw(st.lists(st.sampled_from(naive.rectangle(columns, rows)), max_size=3, unique=True))
    misere = draw(st.booleans())
    model = naive.Dominoes(columns, rows, holes, misere)
    if all(way == 1 for way, _ in model.dominoes.values()):  # nothing to begin with
        model = naive.Dominoes(columns, rows, (), misere)
        holes = []
    names = [naive.cell_name(columns, rows, cell) for cell in holes]
    return Twins(game_of("dominoes", columns, rows, holes=names, misere=misere), model)


@st.composite
def chomps(draw):
    size = st.integers(1, 4)
    columns, rows = draw(small_rectangles(16) | size.map(lambda side: (side, side)))
    return Twins(game_of("chomp", columns, rows), naive.Chomp(columns, rows))


@st.composite
def boxes(draw):
    columns, rows = draw(small_rectangles(3))
    names = naive.Boxes(columns, rows).names
    drawn = draw(st.lists(st.sampled_from(names), max_size=min(4, len(names) - 1), unique=True))
    return Twins(game_of("boxes", columns, rows, drawn=drawn), naive.Boxes(columns, rows, drawn))


@st.composite
def hexes(draw):
    columns, rows = draw(small_rectangles(6))
    misere = draw(st.booleans())
    return Twins(game_of("hex", columns, rows, misere=misere), naive.Hex(columns, rows, misere))


def games():
    return dominoes() | chomps() | boxes() | hexes()


def one(code):
    return np.array([code], dtype=np.uint64)


def keys_of(game, codes):
    """What tells positions apart: their texts, and whose turn it is."""
    return list(zip(game.texts(codes, 0), game.mover(codes).tolist(), strict=True))


def key(model, state):
    return model.text(state), state[1]


# House rules ----------------------------------------------------------------------------------------------


def housed(game, seat, classes):
    text = 'kind = "house-rules"\nlongest = 10\n[[rule]]\nsay = "YOUR TURN IS LOST"\ncost = "turn"\n'
    listed = ", ".join(f'"{name}"' for name in classes)
    return HousedGame(game, parse_house_rules(f"{text}when = [{listed}]\n", "strict.toml", game), seat)


@st.composite
def with_lost_turns(draw, pairs):
    """A game under house rules that take the turn for some classes of wrong input, and its naive twin."""
    game, model = draw(pairs)
    seat = draw(st.integers(0, 1))
    charged = [name for name in classes_of(game) if name != "after-end"]
    classes = draw(st.lists(st.sampled_from(charged), min_size=1, max_size=2, unique=True))
    return Twins(housed(game, seat, classes), naive.LostTurns(model, 1 - seat, classes))
