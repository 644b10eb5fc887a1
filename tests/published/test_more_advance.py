"""Pawns and cars on other boards: figures of the plainest program, and the pawns of Dawson from two families."""

import pytest

from games.take.octal import read_octal
from solver import grundy
from tests.published import figures, plainly
from tests.published.figures import found, long

HEXAPAWN = [
    (1, 3), (1, 4), (1, 5), (1, 9), (2, 2), (2, 3), (2, 4), (2, 5), (2, 6), (2, 7), (3, 2), (3, 3), (3, 4), (3, 5),
    (4, 3), (5, 3), long(3, 6), long(3, 7), long(4, 4), long(4, 5),
]  # fmt: skip


@pytest.mark.parametrize(("columns", "rows"), HEXAPAWN)
def test_hexapawn_of_any_size(columns, rows):
    game = figures.read("advance", columns=columns, rows=rows)
    assert found(game) == plainly.solve(plainly.pawns(columns, rows))


def in_ranks(columns, rows, ranks):
    """The board row by row with so many full rows of either side."""
    return [*["S" * columns] * ranks, *["_" * columns] * (rows - 2 * ranks), *["F" * columns] * ranks]


BREAKING_THROUGH = [
    (2, 3, 1), (3, 3, 1), (4, 3, 1), (2, 4, 1), (3, 4, 1), (2, 4, 2), (2, 5, 2), long(3, 5, 1),
    long(2, 6, 2), long(2, 7, 2),
]  # fmt: skip


@pytest.mark.parametrize(("columns", "rows", "ranks"), BREAKING_THROUGH)
def test_breaking_through_on_any_board(columns, rows, ranks):
    """D. Troyka's Breakthrough of 2000 on small boards: a step ahead or diagonally ahead, captures diagonally only."""
    steps = ["forward", "diagonal"]
    game = figures.read(
        "advance", columns=columns, rows=rows, steps=steps, start=in_ranks(columns, rows, ranks)
    )  # fmt: skip
    assert found(game) == plainly.solve(plainly.pawns(columns, rows, ranks, steps=(-1, 0, 1)))


LARGE_BREAKING_THROUGH = {(3, 5, 2): plainly.Found("second", 18, 2_418_400)}
"""Ours only; the plain program, which takes a minute, found the same."""


@pytest.mark.long
@pytest.mark.parametrize(("columns", "rows", "ranks"), LARGE_BREAKING_THROUGH)
def test_breaking_through_with_two_rows_each(columns, rows, ranks):
    steps = ["forward", "diagonal"]
    game = figures.read(
        "advance", columns=columns, rows=rows, steps=steps, start=in_ranks(columns, rows, ranks)
    )  # fmt: skip
    assert found(game) == LARGE_BREAKING_THROUGH[columns, rows, ranks]


@pytest.mark.parametrize("misere", [False, True])
@pytest.mark.parametrize("files", range(1, 10))
def test_dawsons_chess_with_the_last_move_winning_or_losing(files, misere):
    """T. R. Dawson's own game of 1935 was lost by the last move; Guy and Smith, 1956, let it win."""
    result = "wins" if misere else "loses"
    game = figures.read(
        "advance", columns=files, rows=3, must_capture=True, far_edge="nothing", blocked=result, no_men=result
    )  # fmt: skip
    wanted = plainly.solve(plainly.pawns(files, 3, must_capture=True, crossing_wins=False, misere=misere))
    assert found(game) == wanted
    if not misere:
        worth = grundy.of_rows(read_octal("0.137"), files)[files]
        assert wanted.value == ("first" if worth else "second")


@pytest.mark.parametrize("size", [2, 3])
def test_dodgem(size):
    game = figures.read(
        "advance", columns=size, rows=size, second_goes="right", steps=["forward", "sideways"], captures=[],
        start=["S" + "_" * (size - 1)] * (size - 1) + ["_" + "F" * (size - 1)],
        far_edge="leaves", no_men="wins", blocked="wins",
    )  # fmt: skip
    assert found(game) == plainly.solve(plainly.dodgem(size))
