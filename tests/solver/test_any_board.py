"""The fast layouts on boards that nobody has laid out nicely: any graph of points, any lines, any holes."""

import numpy as np
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from games.marks.marks import MOST_CELLS
from games.problems import BadInput
from solver.engines import solve_plainly
from solver.halves import growing_game, solve_halves
from solver.loops import solve_loops
from solver.slides import slide_game, solve_slides
from tests.published.figures import read


def alike(fast, plain):
    """Positions, values and distances of both, position by position."""
    assert fast.positions == plain.positions
    for codes, others in zip(plain.plies(), fast.plies(), strict=True):
        assert np.array_equal(codes, others)
        wanted, found = plain.look_up(codes), fast.look_up(codes)
        assert np.array_equal(found.value, wanted.value)
        assert np.array_equal(found.distance, wanted.distance)


def some_of(things, most, least=1):
    return st.lists(st.sampled_from(things), min_size=least, max_size=most, unique=True)


@st.composite
def men_on_a_graph(draw):
    """Men that are placed on the points of any graph and then go along its edges."""
    names = [f"p{point}" for point in range(draw(st.integers(5, 9)))]
    pairs = [[a, b] for place, a in enumerate(names) for b in names[:place]]
    men = draw(st.integers(2, min(4, len(names) // 2)))
    steps = draw(st.lists(st.sampled_from(pairs), min_size=2, max_size=2 * len(names), unique_by=tuple))
    lines = draw(st.lists(some_of(names, 4, 2).map(sorted), min_size=1, max_size=6, unique_by=tuple))
    assume(min(map(len, lines)) <= men)
    return read("steps", columns=len(names), rows=1, cells=names, steps=steps, lines=lines, men=men)


@settings(max_examples=20)
@given(men_on_a_graph())
def test_matrices_of_men_on_any_graph_give_what_plain_loops_give(game):
    slides = slide_game(game)
    assume(slides is not None)
    alike(solve_slides(slides), solve_loops(game))


@st.composite
def marks_anywhere(draw):
    """Marks on a rectangle with holes, or that fall, with lines through any cells."""
    columns, rows = draw(st.sampled_from([(2, 5), (4, 3), (3, 4), (6, 2), (5, 3), (11, 1)]))
    squares = [f"{'abcdefghijk'[x]}{y + 1}" for y in range(rows) for x in range(columns)]
    falls = draw(st.booleans())
    spare = max(0, len(squares) - 10)
    holes = [] if falls else draw(some_of(squares, min(len(squares) - 4, spare + 2), spare))
    cells = [square for square in squares if square not in holes]
    assert len(cells) <= MOST_CELLS
    lines = draw(st.lists(some_of(cells, 4, 2).map(sorted), min_size=1, max_size=40, unique_by=tuple))
    keys = {"gravity": True} if falls else {"holes": holes}
    try:
        return read("marks", columns=columns, rows=rows, lines=lines, misere=draw(st.booleans()), **keys)
    except BadInput as error:  # only a 3 x 3 board calls its cells otherwise
        raise AssertionError(error.problems) from None


@settings(max_examples=20)
@given(marks_anywhere())
def test_halves_of_any_board_give_what_the_layers_give(game):
    marks = growing_game(game)
    assume(marks is not None)
    alike(solve_halves(marks), solve_plainly(game))
