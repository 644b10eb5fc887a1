"""Large boards: every sign of every family's drawing is still there, and nothing is larger than the room."""

import numpy as np
import pytest

from games.codes import UNFINISHED
from games.load import catalogue_names, load_game
from workbench.stand.figures import FIGURES, SIDE, figure
from workbench.stand.large import _BLOCKS, _points, enlarged

LINES = set("|-+/\\ ")
SMALL = [
    "noughts-and-crosses",
    "hexapawn",
    "pong-hau-ki",
    "hex-three",
    "boxes-two-by-two",
    "nim-1-2-3",
    "kayles",
]


def drawings(name):
    """The start of a game, and the position after three first moves."""
    game = load_game(name)
    code = game.start
    yield game.drawing(code, 0, named=True)
    for _ in range(3):
        child = int(game.moves(np.array([code], dtype=np.uint64)).child[0])
        if game.ending(np.array([child], dtype=np.uint64))[0] != UNFINISHED:
            break
        code = child
    yield game.drawing(code, 0, named=True)


def test_figures_are_of_one_size_and_no_two_alike():
    assert all(len(rows) == SIDE and all(len(row) == SIDE for row in rows) for rows in FIGURES.values())
    assert all(set("".join(rows)) <= set("#.") for rows in FIGURES.values())
    assert len(set(FIGURES.values())) == len(FIGURES)
    assert figure("b") == figure("B")
    assert figure("m") != figure("M")  # the rim of hex, and a mark
    assert figure("?") is None


@pytest.mark.parametrize("name", list(catalogue_names()))
def test_every_sign_of_a_drawing_has_a_figure(name):
    for drawing in drawings(name):
        words = [row for row in drawing if ": " in row]
        signs = set("".join(row for row in drawing if row not in words)) - LINES
        assert all(figure(sign) for sign in signs), signs


@pytest.mark.parametrize("name", SMALL[1:5])
def test_a_board_can_be_read_back_from_its_points(name):
    """Each sign has five points by five, and one point between; which sign it was is told by them."""
    for drawing in drawings(name):
        board = [row for row in drawing if ": " not in row]
        while not board[-1].strip():
            board.pop()
        points = _points(board, thin=False)
        width = max(map(len, board))
        assert len(points) == len(board) * (SIDE + 1) - 1
        for y, row in enumerate(board):
            for x, sign in enumerate(row.ljust(width)):
                across, down = x * (SIDE + 1), y * (SIDE + 1)
                cell = tuple(line[across : across + SIDE] for line in points[down : down + SIDE])
                if sign in LINES:
                    assert ("".join(cell).strip() == "") == (sign == " ")
                    continue
                drawn = tuple("".join("." if point == " " else "#" for point in line) for line in cell)
                assert drawn == figure(sign)


def test_players_signs_are_darker_than_names_and_names_than_lines():
    drawn = "\n".join(enlarged(["M | 2"], 80, 20))
    assert set(drawn) == {"#", "+", ".", " ", "\n"}
    blocks = "\n".join(enlarged(["M | 2"], 80, 20, blocks=True))
    assert blocks == "".join({**_BLOCKS, "\n": "\n"}[sign] for sign in drawn)


@pytest.mark.parametrize(("columns", "rows"), [(20, 10), (80, 20), (200, 45)])
def test_nothing_is_larger_than_the_room(columns, rows):
    for name in SMALL:
        for drawing in drawings(name):
            large = enlarged(drawing, columns, rows)
            is_small = large == list(drawing)
            assert is_small or (len(large) <= rows and max(map(len, large)) <= columns)
            assert all(row.isascii() for row in large)
            assert all(words in large for words in drawing if ": " in words)


def test_noughts_and_crosses_is_large_on_the_smallest_usual_terminal():
    [start, _] = drawings("noughts-and-crosses")
    large = enlarged(start, 76, 17)
    assert (len(large), max(map(len, large))) == (17, 42)


def test_there_is_as_much_of_it_as_there_is_room_for():
    [start, _] = drawings("noughts-and-crosses")
    heights = [len(enlarged(start, 10_000, rows)) for rows in range(5, 140, 9)]
    assert heights == sorted(heights)
    assert len(set(heights)) > 5


def test_a_line_runs_from_edge_to_edge():
    def cell(sign):
        return _points([sign + sign, sign + sign], thin=False)

    falling = cell("\\")
    assert all(falling[point][point] == "." for point in range(SIDE))
    assert all(row == row[::-1] for row in cell("|"))
    assert cell("-")[SIDE // 2] == "." * (2 * SIDE + 1)
    rising = cell("/")
    assert all(rising[point][SIDE - point] == "." for point in range(SIDE))


@pytest.mark.parametrize("drawing", [[], [""], ["points: 3"], ["caf\u00e9"], ["(1)"], ["M | ?"]], ids=ascii)
def test_what_cannot_be_enlarged_stays_as_it_is(drawing):
    assert enlarged(drawing, 80, 24) == drawing
