"""What others have published about noughts and crosses with marks of nobody's own, each figure with its source.

*Wild* is played with an X or an O as one likes, *neutral* with an X by both players.
"""

from typing import NamedTuple

import numpy as np
import pytest

from games.codes import FIRST_WINS
from games.load import parse_game
from solver.engines import solve_game
from solver.solved import start_values

OURS = "ours only: found published nowhere, computed by another program of ours"
WILD, NEUTRAL = "either", "same"


class Published(NamedTuple):
    """A figure, and who says so."""

    value: object
    source: str


def three_by_three(marks, *, misere=False):
    text = 'kind = "game"\nfamily = "marks"\ncolumns = 3\nrows = 3\nin-a-row = 3\n'
    return parse_game(text + f'marks = "{marks}"\nmisere = {str(misere).lower()}\n', "three.toml")


NEUTRAL_MISERE = Published(
    {"value": "first", "winning openings": ["5"]},
    "T. E. Plambeck, G. Whitehead, arXiv 1301.1672, 2013; mathoverflow 24693: the only winning opening is the centre",
)


def test_neutral_where_the_line_loses():
    game = three_by_three(NEUTRAL, misere=True)
    found = solve_game(game)
    openings = game.moves(np.array([game.start], dtype=np.uint64))
    values = found.look_up(openings.child).value
    winning = sorted(game.move_names[move] for move in openings.move[values == FIRST_WINS])
    assert {"value": start_values(found)[0], "winning openings": winning} == NEUTRAL_MISERE.value


NEUTRAL_VALUE = Published("first", "mathoverflow 24693: on odd boards the centre, then reflect in it")


def test_neutral_where_the_line_wins():
    assert start_values(solve_game(three_by_three(NEUTRAL)))[0] == NEUTRAL_VALUE.value


POSITIONS = Published({WILD: 18_753, NEUTRAL: 450}, OURS)


@pytest.mark.parametrize("marks", POSITIONS.value)
def test_positions(marks):
    assert solve_game(three_by_three(marks)).positions == POSITIONS.value[marks]
