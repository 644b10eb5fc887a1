"""What others have published about so many in a row on larger boards, each figure with its source.

Boards of up to 4 x 3 are in test_noughts_and_crosses.py.  A figure that we found published nowhere is marked as
ours only: it holds the program to its own past.  5 x 5 with four in a row (a draw: C. Y. Lee, reported in Winning
Ways) has more positions than any machine of ours can hold.
"""

from functools import lru_cache
from typing import NamedTuple

import numpy as np
import pytest

from games.codes import FIRST_WINS, UNFINISHED
from games.game import least_images
from solver.engines import solve_game
from solver.solved import start_values
from tests import twins

OURS = "ours only: found published nowhere, computed by another program of ours"
GAMES_SOLVED = (
    'H. J. van den Herik, J. W. H. M. Uiterwijk, J. van Rijswijck, "Games solved: now and in the future", Artificial '
    'Intelligence 134, 2002; J. W. H. M. Uiterwijk, H. J. van den Herik, "The advantage of the initiative", '
    "Information Sciences 122, 2000 (both from memory)"
)
IMPLIED = f"{GAMES_SOLVED}; implied by their results for three and four in a row"
MEMORY = 4 << 30
"""Bytes that a test marked long may use."""


class Published(NamedTuple):
    """A figure, and who says so."""

    value: object
    source: str


@lru_cache(maxsize=1)  # the largest take more than a gigabyte each
def solved(columns, rows, length, misere=False):
    game = twins.twins_in_a_row(columns, rows, length, misere=misere).game
    return solve_game(game, memory=MEMORY)


def start_of(*size):
    """Value and plies of best play (None: a draw)."""
    return start_values(solved(*size))


def long(*values):
    return pytest.param(*values, marks=pytest.mark.long)


VALUES = {
    (5, 3, 3): Published("first", IMPLIED),
    (5, 4, 3): Published("first", IMPLIED),
    (4, 4, 4): Published("draw", GAMES_SOLVED),
    (6, 3, 4): Published("draw", IMPLIED),
    (5, 3, 5): Published("draw", IMPLIED),
    (5, 4, 5): Published("draw", IMPLIED),
}
"""(columns, rows, in a row)"""
HUGE = {(5, 4, 3), (5, 4, 4), (5, 4, 5)}
"""Hundreds of millions of positions, many seconds each."""


def by_size(figures):
    return [long(size) if size in HUGE else size for size in figures]


@pytest.mark.parametrize("size", by_size(VALUES))
def test_value(size):
    assert start_of(*size)[0] == VALUES[size].value


POSITIONS_AND_PLIES = {
    (4, 4, 3): Published((6_036_001, 5), OURS),
    (5, 3, 4): Published((3_414_564, None), OURS),
    (4, 4, 4): Published((9_722_011, None), OURS),
    (6, 3, 3): Published((46_487_328, 7), OURS),
    (5, 4, 3): Published((321_254_413, 5), OURS),
    (5, 4, 4): Published((674_794_169, None), OURS),
}
"""Positions that can arise, and plies of best play (None: a draw)."""


@pytest.mark.parametrize("size", by_size(POSITIONS_AND_PLIES))
def test_positions_and_plies_of_best_play(size):
    assert (solved(*size).positions, start_of(*size)[1]) == POSITIONS_AND_PLIES[size].value


MISERE = {
    (4, 4, 4): Published(("draw", None), OURS),
    (5, 3, 3): Published(("second", 15), OURS),
}
"""Whoever fills a line has lost: value and plies."""


@pytest.mark.parametrize("size", MISERE)
def test_value_and_plies_where_the_line_loses(size):
    assert start_of(*size, True) == MISERE[size].value


BY_PLY_UP_TO_SYMMETRY = Published(
    [
        1,
        3,
        33,
        219,
        1413,
        5514,
        20122,
        50215,
        112379,
        179510,
        245690,
        245690,
        193318,
        110452,
        41870,
        10489,
        1059,
    ],
    f"{OURS}; OEIS A317575, row 4, should be the same",
)
ENDED_BY_PLY_UP_TO_SYMMETRY = Published(
    [0, 0, 0, 0, 0, 0, 0, 280, 642, 4942, 6770, 20286, 16042, 20998, 7970, 3774, 1059], "OEIS A317576, row 4"
)
WON_BY_PLY_UP_TO_SYMMETRY = Published(
    [0, 0, 0, 0, 0, 0, 1100, 280, 26771, 11535, 91567, 36362, 78138, 26146, 12900, 3774, 0],
    "OEIS A317573, row 4: won for X",
)


@pytest.mark.long
def test_positions_of_four_by_four_by_ply_up_to_symmetry():
    four = solved(4, 4, 4)
    found = {"all": [], "ended": [], "won": []}
    for codes in four.plies():
        one_of_each = codes[least_images(four.game, codes)[0] == codes]
        found["all"].append(len(one_of_each))
        found["ended"].append(np.count_nonzero(four.game.ending(one_of_each) != UNFINISHED))
        found["won"].append(np.count_nonzero(four.look_up(one_of_each).value == FIRST_WINS))
    assert found["all"] == BY_PLY_UP_TO_SYMMETRY.value
    assert found["ended"] == ENDED_BY_PLY_UP_TO_SYMMETRY.value
    assert found["won"] == WON_BY_PLY_UP_TO_SYMMETRY.value
