"""Boards as people see them: names, groups of cells, positions as text."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.board import Board, usual_names
from tests import naive


def test_cells_have_the_usual_names():
    assert usual_names(3, 3) == tuple("123456789")
    assert usual_names(4, 2) == ("a1", "b1", "c1", "d1", "a2", "b2", "c2", "d2")
    assert usual_names(1, 3) == ("a1", "a2", "a3")


@given(st.integers(1, 7), st.integers(1, 7))
def test_groups_of_cells_are_the_naive_ones(columns, rows):
    game = naive.Game(columns, rows, [], "")
    groups = Board(columns, rows).groups()
    assert list(groups["corners"]) == sorted(set(naive._corners(game)))
    assert list(groups["edges"]) == naive._edges(game)
    assert list(groups["centre"]) == naive._centre(game)


def test_groups_that_everyone_knows():
    assert Board(3, 3).groups() == {"corners": (0, 2, 6, 8), "edges": (1, 3, 5, 7), "centre": (4,)}
    assert Board(4, 4).groups()["centre"] == (5, 6, 9, 10)
    assert Board(4, 3).groups()["centre"] == (5, 6)
    assert [Board(3, 3).opposite(cell) for cell in (0, 1, 2, 4)] == [8, 7, 6, 4]


@given(st.integers(1, 6), st.integers(1, 4), st.data())
def test_a_position_as_text_is_read_back(columns, rows, data):
    board = Board(columns, rows)
    signs = data.draw(st.lists(st.sampled_from("MV_"), min_size=board.size, max_size=board.size))
    mine, visitors = (sum(1 << cell for cell, s in enumerate(signs) if s == sign) for sign in "MV")
    text = board.text(mine, visitors)
    assert text.replace("/", "") == "".join(signs)
    assert text.count("/") == rows - 1
    assert board.read(f" {text} ") == (mine, visitors)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("M__/___", "expected 3 rows of 3 signs"),
        ("M__/____/___", "expected 3 rows of 3 signs"),
        ("M__/_X_/___", "'X' is no sign of a board"),
        ("", "expected 3 rows of 3 signs"),
    ],
)
def test_a_text_that_is_no_board_is_refused(text, said):
    with pytest.raises(ValueError, match=said):
        Board(3, 3).read(text)
