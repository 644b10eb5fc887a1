"""What others have published about four in a row where marks fall, each figure with its source.

Boards are columns x rows, wide x high.  Larger boards whose values are published (6 x 5, 7 x 6 and their like)
have more positions than any machine of ours can hold; of 7 x 6 only the first plies are counted here.
"""

from functools import cache, lru_cache
from typing import NamedTuple

import numpy as np
import pytest

from games.codes import RESULTS, UNFINISHED, distinct
from solver.engines import solve_game
from solver.solved import start_values
from solver.tally import lines_by_result
from tests import twins

OURS = "ours only: found published nowhere, computed by another program of ours"
TROMP = 'J. Tromp, "John\'s Connect Four Playground", tromp.github.io/c4/c4.html'
VALUE_TABLE = f"{TROMP}, table of values by board size"
COUNT_TABLE = f"{TROMP}, table of the numbers of legal positions by board size"


class Published(NamedTuple):
    """A figure, and who says so."""

    value: object
    source: str


@cache
def four_in_a_row(columns, rows):
    return twins.twins_in_a_row(columns, rows, 4, falls=True).game


@lru_cache(maxsize=1)
def solved(columns, rows):
    return solve_game(four_in_a_row(columns, rows))


VALUES = {
    (4, 4): Published("draw", VALUE_TABLE),
    (5, 4): Published("draw", VALUE_TABLE),
    (4, 5): Published("draw", VALUE_TABLE),
    (4, 6): Published("draw", VALUE_TABLE),
}
"""(columns, rows)"""


@pytest.mark.parametrize("size", VALUES)
def test_value(size):
    assert start_values(solved(*size))[0] == VALUES[size].value


POSITIONS = {
    (1, 8): Published(9, COUNT_TABLE),
    (2, 4): Published(179, COUNT_TABLE),
    (5, 2): Published(4_688, COUNT_TABLE),
    (3, 4): Published(6_000, COUNT_TABLE),
    (4, 3): Published(12_031, COUNT_TABLE),
    (6, 2): Published(29_737, COUNT_TABLE),
    (3, 5): Published(38_310, COUNT_TABLE),
    (4, 4): Published(161_029, COUNT_TABLE),
    (8, 2): Published(1_216_721, COUNT_TABLE),
    (3, 7): Published(1_417_322, COUNT_TABLE),
    (4, 5): Published(1_706_255, COUNT_TABLE),
    (6, 3): Published(2_087_325, COUNT_TABLE),
    (3, 8): Published(8_424_616, COUNT_TABLE),
    (4, 6): Published(15_835_683, COUNT_TABLE),
    (7, 3): Published(27_441_956, COUNT_TABLE),
    (6, 4): Published(94_910_577, COUNT_TABLE),
    (5, 4): Published(3_945_711, OURS),
    (5, 5): Published(69_763_700, OURS),
}
"""(columns, rows)"""
LONG = {(6, 4), (5, 5)}


@pytest.mark.parametrize(
    "size", [pytest.param(size, marks=pytest.mark.long) if size in LONG else size for size in POSITIONS]
)
def test_positions(size):
    assert solved(*size).positions == POSITIONS[size].value


AFTER_N_PLIES = Published(
    [1, 7, 49, 238, 1120, 4263, 16422, 54859, 184275, 558186, 1662623], "OEIS A212693 (J. Tromp, 2012)"
)
"""7 x 6, after 0 to 10 plies."""


def test_positions_of_seven_by_six_after_n_plies():
    game = four_in_a_row(7, 6)
    frontier, counts = np.array([game.start], dtype=np.uint64), [1]
    while len(counts) < len(AFTER_N_PLIES.value):
        open_ = frontier[game.ending(frontier) == UNFINISHED]
        frontier = distinct(game.moves(open_).child)
        counts.append(len(frontier))
    assert counts == AFTER_N_PLIES.value


COMPLETE_GAMES = Published({1: 2, 2: 90, 3: 356_232, 4: 152_505_051_772}, "OEIS A342329 (Jehn, 2021)")
"""Lines of play on n + 1 x n; no line of four fits on the two smallest boards, so that these are just filled."""


@pytest.mark.parametrize("n", [1, 2, 3, pytest.param(4, marks=pytest.mark.long)])
def test_complete_games(n):
    game = four_in_a_row(n + 1, n)
    assert len(game.lines) == {1: 0, 2: 0, 3: 3, 4: 17}[n]
    assert sum(lines_by_result(game, game.start).values()) == COMPLETE_GAMES.value[n]


OPENINGS = {(4, 4): Published(["draw"] * 4, OURS), (5, 5): Published(["draw"] * 5, OURS)}
"""The result of each opening column."""


@pytest.mark.parametrize("size", [(4, 4), pytest.param((5, 5), marks=pytest.mark.long)])
def test_result_of_each_opening(size):
    found = solved(*size)
    openings = found.game.moves(np.array([found.game.start], dtype=np.uint64))
    values = found.look_up(openings.child).value
    assert [RESULTS[value] for value in values[np.argsort(openings.move)]] == OPENINGS[size].value
