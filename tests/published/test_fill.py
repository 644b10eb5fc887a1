"""What others have published about domineering, chomp, dots and boxes and hex, each figure with its source.

Published boards of domineering and chomp are given as rows x columns; here, as everywhere, columns x rows.
A figure that we found published nowhere is marked as ours only: it holds the program to its own past.
"""

from typing import NamedTuple

import numpy as np
import pytest

from games.codes import RESULTS
from games.load import parse_game
from solver.engines import solve_game
from solver.graph import explore
from solver.scores import solve_scores
from solver.solved import start_values
from solver.values import best_play

OURS = "ours only: found published nowhere, computed by another program of ours"
LARGE = 4 << 30
"""Bytes that a test marked long may use."""


class Published(NamedTuple):
    """A figure, and who says so."""

    value: object
    source: str


def game_of(play, columns, rows, misere=False):
    text = f'kind = "game"\nfamily = "fill"\nplay = "{play}"\ncolumns = {columns}\nrows = {rows}\n'
    return parse_game(text + ("misere = true\n" if misere else ""), "drawn.toml")


def solved(play, columns, rows, *, misere=False, start=None):
    game = game_of(play, columns, rows, misere)
    return solve_game(game, start=game.other_start if start == "second" else None, memory=LARGE)


def winner(*board, **keys):
    return start_values(solved(*board, **keys))[0]


def openings(game):
    """The moves from the start by name, and the positions after them."""
    _, move, child = game.moves(np.array([game.start], dtype=np.uint64))
    return [game.move_names[number] for number in move], child


def winning_bites(columns, rows):
    """The names of the moves with which the first player can begin and win chomp.

    Solved over the graph, in which a bar stands once; ply by ply it would stand in dozens of layers.
    """
    game = game_of("chomp", columns, rows)
    graph = explore(game)
    names, children = openings(game)
    values = best_play(graph).value[graph.places(children)]
    return [name for name, value in zip(names, values, strict=True) if RESULTS[value] == "first"]


def long(*values):
    return pytest.param(*values, marks=pytest.mark.long)


# Domineering: the first player lays upright dominoes (Vertical), the second lying ones (Horizontal) --------

OUTCOMES = Published(
    {(2, 2): "1st", (3, 3): "1st", (4, 4): "1st", (5, 5): "2nd"},
    'D. Breuker, J. Uiterwijk, J. van den Herik, "Solving 8x8 Domineering", Theoretical Computer Science 230, 2000; '
    "M. Lachmann, C. Moore, I. Rapaport, 2000",
)
THREE_ROWS = Published(
    range(4, 11),
    'J. Uiterwijk, "Perfectly solving domineering boards", 2014, theorem 3: on 3 rows x these columns '
    "Horizontal wins even when Vertical starts",
)
EVEN_ROWS = Published(
    [(2, 3), (2, 5), (2, 7), (4, 3), (4, 5), (4, 7), (2, 9), (2, 11), (6, 5)],
    "Uiterwijk 2014, theorem 2: on these rows x columns Vertical wins when starting",
)
FIVE_ROWS = Published(
    (2, 4, 6), "Uiterwijk 2014, theorem 4: on 5 rows x these columns Horizontal wins if Vertical starts"
)


@pytest.mark.parametrize("size", OUTCOMES.value)
def test_outcome_classes_of_square_boards(size):
    begins = {"1st": ("first", "second"), "2nd": ("second", "first")}[OUTCOMES.value[size]]
    assert winner("dominoes", *size) == begins[0]
    assert winner("dominoes", *size, start="second") == begins[1]


@pytest.mark.parametrize("columns", [4, 5, 6, 7, 8, long(9), long(10)])
def test_lying_dominoes_win_on_three_rows(columns):
    assert columns in THREE_ROWS.value
    assert winner("dominoes", columns, 3) == "second"


@pytest.mark.parametrize("board", [long(b) if b in ((4, 7), (6, 5)) else b for b in EVEN_ROWS.value])
def test_upright_dominoes_win_on_even_rows_when_they_begin(board):
    rows, columns = board
    assert winner("dominoes", columns, rows) == "first"


@pytest.mark.parametrize("columns", [long(n) if n == 6 else n for n in FIVE_ROWS.value])
def test_lying_dominoes_win_on_five_rows_though_upright_ones_begin(columns):
    assert winner("dominoes", columns, 5) == "second"


# Chomp ----------------------------------------------------------------------------------------------------

GALE = 'D. Gale, "A curious nim-type game", American Mathematical Monthly 81, 1974'
SQUARE = Published(
    "b2", f"{GALE}; M. Gardner 1973: on n x n the only winning first move is beside the corner"
)
TWO_ROWS = Published(
    "far corner", f"{GALE}; Gardner 1973: on 2 x n the only winning first move is the far corner"
)
UNIQUE = Published(
    [(3, n) for n in range(1, 11)] + [(4, 5), (4, 6)],
    "Gale, quoted by A. Brouwer: on 3 x n, 4 x 5 and 4 x 6 the winning first move is unique",
)
EIGHT_BY_TEN = Published(["i4", "f5"], f"{OURS}: row 4 column 9 and row 5 column 6 on 8 rows x 10 columns")


@pytest.mark.parametrize("size", range(2, 7))
def test_on_a_square_the_only_winning_bite_is_beside_the_corner(size):
    assert winning_bites(size, size) == ["5" if size == 3 else SQUARE.value]


@pytest.mark.parametrize("columns", range(2, 8))
def test_on_two_rows_the_only_winning_bite_is_the_far_corner(columns):
    assert TWO_ROWS.value == "far corner"
    [bite] = winning_bites(columns, 2)
    assert bite == game_of("chomp", columns, 2).move_names[-1]


@pytest.mark.parametrize(("rows", "columns"), UNIQUE.value[1:])
def test_the_winning_bite_is_unique(rows, columns):
    assert len(winning_bites(columns, rows)) == 1
    assert len(winning_bites(rows, columns)) == 1


def test_eight_by_ten_has_two_winning_bites():
    assert winning_bites(10, 8) == EIGHT_BY_TEN.value


# Dots and boxes: the first player's boxes minus the second's ----------------------------------------------

WILSON = (
    "D. Wilson, Dots-and-Boxes analysis results, University of Wisconsin web page; "
    'J. Barker, R. Korf, "Solving Dots-and-Boxes", AAAI 2012'
)
ROW_OF_BOXES = Published([-1, 0, -1, 0, -1], OURS)
THREE_BY_THREE = Published(-3, f"{WILSON}; every opening is as good as any other")


@pytest.mark.parametrize(("length", "difference"), list(enumerate(ROW_OF_BOXES.value, 1)))
def test_rows_of_boxes(length, difference):
    assert solve_scores(game_of("boxes", length, 1)).at_start == difference
    assert solve_scores(game_of("boxes", 1, length)).at_start == difference


@pytest.mark.long
def test_three_by_three_boxes():
    game = game_of("boxes", 3, 3)
    found = solve_scores(game, memory=LARGE)
    assert found.at_start == THREE_BY_THREE.value
    assert set(found.look_up(openings(game)[1]).tolist()) == {THREE_BY_THREE.value}


# Hex ------------------------------------------------------------------------------------------------------

HEX = Published("first", "J. Nash 1949, 1952; M. Gardner 1957: on n x n the first player wins")
MISERE_HEX = Published(
    {2: "first", 3: "second", 4: "first"},
    'J. Lagarias, D. Sleator, "Who wins misere Hex?", 1999: the first player wins just where n is even',
)
MISERE_OPENINGS = Published(
    {2: {"a1"}, 4: {"a1", "b1"}},
    'R. Evans 1974; R. Hayward, B. Toft, P. Henderson, "How to play Reverse Hex", 2012: the acute corner wins in '
    "misere hex, and on 4 x 4 so does the cell beside it on the first player's side (the row a1 b1 c1 d1)",
)
HEX_POSITIONS = Published({2: 32, 3: 5_514, 4: 9_386_235}, f"{OURS}; play stops at a win")


@pytest.mark.parametrize("size", [1, 2, 3, long(4)])
def test_the_first_player_wins_hex(size):
    found = solved("hex", size, size)
    assert start_values(found)[0] == HEX.value
    assert found.positions == HEX_POSITIONS.value.get(size, 2)


@pytest.mark.parametrize("size", [2, 3, long(4)])
def test_misere_hex_is_won_by_the_first_player_on_even_boards(size):
    found = solved("hex", size, size, misere=True)
    assert start_values(found)[0] == MISERE_HEX.value[size]
    names, children = openings(found.game)
    values = found.look_up(children).value
    winning = {name for name, value in zip(names, values, strict=True) if RESULTS[value] == "first"}
    assert winning >= MISERE_OPENINGS.value.get(size, set())
