"""Boards as people see them: names, groups of cells, positions as text."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.board import Board, usual_names
from tests import naive, naive_sheet


def test_cells_have_the_usual_names():
    assert usual_names(3, 3) == tuple("123456789")
    assert usual_names(4, 2) == ("a1", "b1", "c1", "d1", "a2", "b2", "c2", "d2")
    assert usual_names(1, 3) == ("a1", "a2", "a3")


@st.composite
def rectangles(draw, most_columns=7, most_rows=7):
    """A rectangle and some of its squares that are holes, but never all."""
    columns, rows = draw(st.integers(1, most_columns)), draw(st.integers(1, most_rows))
    squares = columns * rows
    holes = draw(st.just(()) | st.sets(st.integers(0, squares - 1), max_size=squares - 1).map(sorted))
    return columns, rows, holes


@given(rectangles())
def test_groups_of_cells_are_the_naive_ones(rectangle):
    columns, rows, holes = rectangle
    game = naive.Game(columns, rows, [], "", holes=holes)
    board = Board(columns, rows, (), holes)
    groups = board.groups()
    assert list(groups["corners"]) == naive_sheet._corners(game)
    assert list(groups["edges"]) == naive_sheet._edges(game)
    assert list(groups["centre"]) == naive_sheet._centre(game)
    across = [(corner, board.opposite(corner)) for corner in groups["corners"]]
    assert [pair for pair in across if pair[1] is not None] == naive_sheet._opposite_pairs(game)


def test_a_hole_is_no_cell():
    """A ring of eight: numbers and names go on behind the hole, and nothing lies opposite to it."""
    ring = Board(3, 3, (), [4])
    assert ring.size == 8
    assert ring.names == ("1", "2", "3", "4", "6", "7", "8", "9")
    assert [ring.has(column, 1) for column in (-1, 0, 1, 2, 3)] == [False, True, False, True, False]
    assert [ring.has(0, row) for row in (-1, 0, 2, 3)] == [False, True, True, False]
    assert (ring.cell(2, 1), ring.where(4)) == (4, (2, 1))
    with pytest.raises(KeyError):
        ring.cell(1, 1)
    assert ring.groups()["centre"] == ()
    assert Board(3, 3, (), [8]).opposite(0) is None
    assert Board(3, 1, ("left", "right"), [1]).names == ("left", "right")


def test_a_hole_is_a_point_in_texts_and_blank_in_drawings():
    ring = Board(3, 3, (), [4])
    assert ring.text(0b1, 0b10000) == "M__/_.V/___"
    assert ring.read("M__/_.V/___") == (0b1, 0b10000)
    assert ring.drawn(ring.signs(1, 16), last=4) == [" M  _  _ ", " _    (V)", " _  _  _ "]
    assert ring.grid(ring.names)[2:4] == ["4 |   | 6", "--+---+--"]


@given(rectangles(most_columns=26, most_rows=3), st.integers(1, 8))
def test_a_grid_too_wide_for_a_screen_stands_close_together(rectangle, width):
    columns, rows, holes = rectangle
    board = Board(columns, rows, (), holes)
    drawn = board.grid(["x" * width] * board.size)
    is_narrow = columns * (width + 3) - 3 <= 76
    assert len(drawn) == (2 * rows - 1 if is_narrow else rows)
    assert sum(line.count("x") for line in drawn) == width * board.size
    assert max(map(len, drawn)) <= (76 if is_narrow else columns * (width + 1) - 1)


def test_groups_that_everyone_knows():
    assert Board(3, 3).groups() == {"corners": (0, 2, 6, 8), "edges": (1, 3, 5, 7), "centre": (4,)}
    assert Board(4, 4).groups()["centre"] == (5, 6, 9, 10)
    assert Board(4, 3).groups()["centre"] == (5, 6)
    assert [Board(3, 3).opposite(cell) for cell in (0, 1, 2, 4)] == [8, 7, 6, 4]


@given(rectangles(6, 4), st.data())
def test_a_position_as_text_is_read_back(rectangle, data):
    columns, rows, holes = rectangle
    board = Board(columns, rows, (), holes)
    signs = data.draw(st.lists(st.sampled_from("MV_"), min_size=board.size, max_size=board.size))
    mine, visitors = (sum(1 << cell for cell, s in enumerate(signs) if s == sign) for sign in "MV")
    text = board.text(mine, visitors)
    assert text == "/".join(naive.Game(columns, rows, [], "", holes=holes).written(signs))
    assert text.replace("/", "").replace(".", "") == "".join(signs)
    assert text.count("/") == rows - 1
    assert board.read(f" {text} ") == (mine, visitors)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("M__/___", "expected 3 rows of 3 signs divided by '/', such as M__/___/___, not 'M__/___'"),
        (
            "M__/____/___",
            "expected 3 rows of 3 signs divided by '/', such as M__/___/___, not 'M__/____/___'",
        ),
        ("M__/_X_/___", "'X' is no sign of a board; expected M, V or _"),
        ("Y__/_X_/__.", "'.' is no sign of a board; expected M, V or _"),
        ("", "expected 3 rows of 3 signs divided by '/', such as M__/___/___, not ''"),
    ],
    ids=["rows", "columns", "sign", "first sign", "nothing"],
)
def test_a_text_that_is_no_board_is_refused(text, said):
    with pytest.raises(ValueError, match=f"^{re.escape(said)}$"):
        Board(3, 3).read(text)


def test_one_is_told_as_one():
    with pytest.raises(ValueError, match=r"^expected 1 row of 2 signs divided by '/', such as M_, not 'M'$"):
        Board(2, 1).read("M")
    with pytest.raises(ValueError, match=r"^expected 2 rows of 1 sign divided by '/', such as M/_, not 'M'$"):
        Board(1, 2).read("M")


@pytest.mark.parametrize("text", ["M__/___/___", "M__/_M_/___", "M__/_../___", "M__/.__/___"])
def test_a_text_with_its_holes_elsewhere_is_refused(text):
    said = f"expected '.' in the holes and nowhere else, as in M__/_._/___, not '{text}'"
    with pytest.raises(ValueError, match=f"^{re.escape(said)}$"):
        Board(3, 3, (), [4]).read(text)
