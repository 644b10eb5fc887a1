"""Marks on other boards and other lines: figures known by heart, and figures held against the plainest program.

What is from memory is marked so with the source remembered; `plainly` is a second program written for these tests.
"""

import os
from itertools import combinations

import numpy as np
import pytest

from games.codes import RESULTS
from games.take.octal import read_octal
from solver import grundy
from solver.engines import solve_game, solve_plainly
from solver.graph import explore
from solver.run import TooMuchMemory
from solver.solved import start_values
from solver.tally import tally
from tests.published import figures, plainly
from tests.published.figures import Published, found, long


def read(columns, rows, lines=None, names=(), **keys):
    """A game read from a file; lines are given by the numbers of their cells."""
    names = names or [f"p{cell}" for cell in range(columns * rows)]
    if lines is not None:
        keys |= {"cells": list(names), "lines": [[names[cell] for cell in line] for line in lines]}
    return figures.read("marks", columns=columns, rows=rows, **keys)


# Finite planes --------------------------------------------------------------------------------------------

PLANES = Published(
    {"affine 2": "first", "affine 3": "first", "affine 4": "first", "projective 2": "first", "projective 3": "draw"},
    'M. T. Carroll, S. T. Dougherty, "Tic-Tac-Toe on a Finite Plane", Mathematics Magazine 77, 2004 (from memory): '
    "the first player wins on the affine planes of order 2, 3 and 4 and the projective plane of order 2, and no others",
)  # fmt: skip
PLIES_ON_PLANES = {"affine 2": 3, "affine 3": 7, "affine 4": 15, "projective 2": 7, "projective 3": None}
"""Ours only."""


def product_in_four(a, b):
    """The field of four elements: polynomials over two, reduced by x2 + x + 1."""
    raw = (a if b & 1 else 0) ^ (a << 1 if b & 2 else 0)
    return raw ^ 7 if raw & 4 else raw


def affine_plane(order):
    """The lines y = m x + c, and x = c, on points numbered by order * x + y."""
    times = product_in_four if order == 4 else lambda a, b: a * b % order
    plus = (lambda a, b: a ^ b) if order == 4 else lambda a, b: (a + b) % order
    span = range(order)
    lines = {tuple(sorted(order * x + plus(times(m, x), c) for x in span)) for m in span for c in span}
    return sorted(lines | {tuple(order * x + y for y in span) for x in span})


def projective_plane(order):
    """Points and lines are triples over a prime field; a point is on a line where their product is 0."""
    span = range(order)
    triples = [(1, a, b) for a in span for b in span] + [(0, 1, a) for a in span] + [(0, 0, 1)]
    return [
        tuple(n for n, point in enumerate(triples) if sum(map(int.__mul__, point, line)) % order == 0)
        for line in triples
    ]


@pytest.mark.parametrize("plane", PLANES.value)
def test_noughts_and_crosses_on_a_finite_plane(plane):
    kind, order = plane.split()
    lines = (affine_plane if kind == "affine" else projective_plane)(int(order))
    points = max(max(line) for line in lines) + 1
    columns = int(order) if kind == "affine" else points
    assert len(lines) == (points + int(order) if kind == "affine" else points)
    solution = found(read(columns, points // columns, lines))
    assert (solution.value, solution.plies) == (PLANES.value[plane], PLIES_ON_PLANES[plane])
    if points < 10:
        assert solution == plainly.solve(plainly.marks(columns, points // columns, lines))


# The same game in other clothes ---------------------------------------------------------------------------

DRAW = Published(
    "draw",
    "games that are noughts and crosses in disguise: E. R. Berlekamp, J. H. Conway, R. K. Guy, Winning Ways, 1982, "
    "chapter 22: fifteen by three numbers from 1 to 9; L. Moser's nine words (from memory)",
)
WORDS = ["hot", "form", "woes", "tank", "hear", "wasp", "tied", "brim", "ship"]
DISGUISES = {
    "fifteen": (list("123456789"), [t for t in combinations(range(9), 3) if sum(t) + 3 == 15]),
    "words": (WORDS, [
        line for letter in "abcdefghijklmnopqrstuvwxyz"
        if len(line := tuple(n for n, word in enumerate(WORDS) if letter in word)) == 3
    ]),
}  # fmt: skip


@pytest.mark.parametrize("name", DISGUISES)
def test_noughts_and_crosses_in_disguise(name):
    words, lines = DISGUISES[name]
    assert len(lines) == 8
    solved = solve_game(read(9, 1, lines, words))
    assert start_values(solved) == (DRAW.value, None)
    plain = solve_game(read(3, 3, in_a_row=3))
    assert tally(solved).by_ply == tally(plain).by_ply
    assert tally(solved).lines == tally(plain).lines


# Boards that go round, and more lines than would fit a machine word ---------------------------------------


def on_a_torus(side, length):
    return plainly.straight_lines(side, side, length, goes_round=True)


def test_on_a_torus_three_by_three_is_the_affine_plane():
    assert sorted(on_a_torus(3, 3)) == sorted(
        tuple(sorted(cell % 3 * 3 + cell // 3 for cell in line)) for line in affine_plane(3)
    )


TORUS = {4: plainly.Found("draw", None, 9_463_605), 3: plainly.Found("first", 5, 2_730_005)}
"""Four by four on a torus, by length of the lines; ours only."""


@pytest.mark.parametrize("length", [4, 3])
def test_four_by_four_on_a_torus(length):
    assert found(read(4, 4, on_a_torus(4, length))) == TORUS[length]


@pytest.mark.parametrize(("lines", "across"), [(35, 30), (40, 31), (70, 62), (90, 63), (220, 120)])
def test_any_number_of_lines_will_do(lines, across):
    """Lines between the left half and the right: so many that they fill one machine word, or two, or none at all."""
    halves = np.arange(12) % 4 // 2
    every = sorted(combinations(range(12), 3), key=lambda line: sum(line) * 7 % 11)
    crossing = [line for line in every if len(set(halves[list(line)])) == 2][:across]
    inside = [line for line in every if len(set(halves[list(line)])) == 1]
    game = read(4, 3, [*crossing, *inside[: lines - across]])
    fast, plain = solve_game(game), solve_plainly(game)
    assert fast.positions == plain.positions
    for codes in plain.plies():
        wanted, got = plain.look_up(codes), fast.look_up(codes)
        assert np.array_equal(got.value, wanted.value)
        assert np.array_equal(got.distance, wanted.distance)


# So many in a row -----------------------------------------------------------------------------------------

ROWS = Published(
    {
        (2, 2, 2): "first", (3, 1, 2): "first", (2, 1, 2): "draw", (5, 2, 2): "first", (5, 2, 3): "draw",
        (2, 6, 3): "draw", (9, 1, 3): "draw", (4, 2, 4): "draw", (4, 3, 3): "first", (3, 4, 3): "first",
        (4, 4, 3): "first", (4, 3, 4): "draw", (3, 5, 4): "draw", (5, 3, 5): "draw",
    },
    "common practice: two in a row wins wherever a cell has two neighbours, three in a row from 4 x 3 on and never on "
    "two rows (pair the cells); four in a row is drawn on boards as narrow as these (from memory)",
)  # fmt: skip


@pytest.mark.parametrize("size", ROWS.value)
def test_so_many_in_a_row_on_small_boards(size):
    columns, rows, length = size
    solution = found(read(columns, rows, in_a_row=length))
    assert solution.value == ROWS.value[size]
    if length == 2 and solution.value == "first":
        assert solution.plies == 3
    if columns * rows <= 9:
        lines = plainly.straight_lines(columns, rows, length)
        assert solution == plainly.solve(plainly.marks(columns, rows, lines))


PLAIN_BOARDS = [
    (columns, rows, length, whose, misere)
    for columns, rows, length in [(1, 3, 3), (3, 1, 2), (3, 2, 2), (3, 2, 3), (2, 4, 3), (7, 1, 3), (3, 3, 3)]
    for whose in ("own", "either", "same")
    for misere in (False, True)
]


@pytest.mark.parametrize(("columns", "rows", "length", "whose", "misere"), PLAIN_BOARDS)
def test_what_the_plain_program_finds(columns, rows, length, whose, misere):
    """Whoever puts whichever marks, and whether the line wins or loses: value, plies and positions."""
    signs = {"own": "", "either": "XO", "same": "X"}[whose]
    lines = plainly.straight_lines(columns, rows, length)
    wanted = plainly.solve(plainly.marks(columns, rows, lines, signs, misere=misere))
    assert found(read(columns, rows, in_a_row=length, marks=whose, misere=misere)) == wanted


@pytest.mark.parametrize("cells", [(0, 1, 2, 3, 5, 6, 7, 8), (1, 3, 4, 5, 7), (0, 1, 3, 4, 5, 7, 8)])
@pytest.mark.parametrize("misere", [False, True])
def test_boards_with_holes(cells, misere):
    lines = [line for line in plainly.straight_lines(3, 3, 3) if set(line) <= set(cells)]
    holes = [str(cell + 1) for cell in range(9) if cell not in cells]
    numbered = [tuple(cells.index(cell) for cell in line) for line in lines]
    wanted = plainly.solve(plainly.marks(len(cells), 1, numbered, misere=misere))
    assert found(read(3, 3, in_a_row=3, holes=holes, misere=misere)) == wanted


LONG_MISERE = {(4, 4, 3): plainly.Found("second", 15, 6_036_001)}
"""Three in a row loses on 4 x 4; ours only."""


@pytest.mark.parametrize("size", LONG_MISERE)
def test_larger_boards_where_the_line_loses(size):
    columns, rows, length = size
    assert found(read(columns, rows, in_a_row=length, misere=True)) == LONG_MISERE[size]


# Marks of nobody's own ------------------------------------------------------------------------------------

WILD = Published(
    {False: "first", True: "draw"}, "encyclopaedia article on wild noughts and crosses (from memory)"
)


@pytest.mark.parametrize("misere", [False, True])
def test_wild_noughts_and_crosses(misere):
    game = read(3, 3, in_a_row=3, marks="either", misere=misere)
    assert found(game).value == WILD.value[misere]


EVEN_BOARDS = Published(
    "second",
    "to be derived: on n x n with n even, both putting an X, the second player fills a line that can be filled and "
    "else reflects in the centre, which never leaves a line that lacks one cell",
)


@pytest.mark.parametrize("side", [2, 4])
def test_crosses_only_on_even_boards_is_won_by_reflection(side):
    assert found(read(side, side, in_a_row=side, marks="same")).value == EVEN_BOARDS.value


TREBLECROSS = Published(
    read_octal("0.007"),
    "Winning Ways, chapter 4 (from memory): both put an X on a strip, and three in a row wins: no X goes beside or "
    "next but one to another, so n cells are worth what the octal 0.007 is worth on n + 2",
)


@pytest.mark.parametrize("cells", range(3, 17))
def test_crosses_on_a_strip_against_grundy_values_of_another_family(cells):
    """Won for the first player where the value is not 0: two families that know nothing of each other."""
    worth = grundy.of_rows(TREBLECROSS.value, cells + 2)[cells + 2]
    assert found(read(cells, 1, in_a_row=3, marks="same")).value == ("first" if worth else "second")


# Marks that fall ------------------------------------------------------------------------------------------

TROMP = 'J. Tromp, "John\'s Connect Four Playground", tromp.github.io/c4/c4.html'
FALLING_POSITIONS = Published(
    {(5, 3): 158_911, (7, 2): 189_648, (3, 6): 235_781, (4, 7): 135_385_909, (8, 3): 362_940_958},
    f"{TROMP}, table of the numbers of legal positions by board size (from memory)",
)


@pytest.mark.parametrize("size", [(5, 3), (7, 2), (3, 6), long((4, 7)), long((8, 3))])
def test_positions_of_falling_four_in_a_row(size):
    assert found(read(*size, in_a_row=4, gravity=True)).positions == FALLING_POSITIONS.value[size]


LARGE = Published(
    {(5, 6): ("draw", 1_044_334_437), (7, 4): ("draw", 2_265_792_710)},
    f"{TROMP}, table of values by board size; the positions from memory",
)
LARGE_MEMORY = 10 << 30
"""Bytes that these need."""


@pytest.mark.long
@pytest.mark.parametrize("size", LARGE.value)
def test_values_of_the_largest_boards_that_a_good_machine_can_hold(size):
    """Where the memory is not there, that is said before anything is done."""
    game = read(*size, in_a_row=4, gravity=True)
    there = os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
    if there < LARGE_MEMORY + (2 << 30):
        with pytest.raises(TooMuchMemory):
            solve_game(game)
    else:
        solved = solve_game(game, memory=LARGE_MEMORY)
        assert (start_values(solved)[0], solved.positions) == LARGE.value[size]


@pytest.mark.parametrize(
    "size", [(3, 3, 3), (4, 3, 3), (3, 4, 3), (2, 5, 3), (3, 4, 4), (5, 2, 3), (1, 4, 4)]
)
@pytest.mark.parametrize("misere", [False, True])
def test_what_the_plain_program_finds_where_marks_fall(size, misere):
    columns, rows, length = size
    lines = plainly.straight_lines(columns, rows, length)
    wanted = plainly.solve(plainly.marks(columns, rows, lines, misere=misere, falls=True))
    assert found(read(columns, rows, in_a_row=length, gravity=True, misere=misere)) == wanted


def test_marks_may_fall_on_a_board_with_lines_of_its_own():
    """A cube of 2 x 2 x 2 cells: four columns, and every pair of cells is a line."""
    pairs = list(combinations(range(8), 2))
    names = list("abcdefgh")
    wanted = plainly.solve(plainly.marks(4, 2, pairs, falls=True))
    assert wanted[:2] == ("first", 3)
    game = read(4, 2, pairs, names, gravity=True)
    assert found(game) == wanted


def test_two_by_two_by_two():
    """A small cube: every pair of its cells is a line."""
    pairs = list(combinations(range(8), 2))
    assert found(read(4, 2, pairs)) == plainly.solve(plainly.marks(4, 2, pairs))


def test_every_opening_on_a_plane_is_like_every_other():
    """So all of them have the value of the start; here the line loses."""
    game = read(3, 3, affine_plane(3), misere=True)
    solved, graph = solve_game(game), explore(game)
    children = graph.child[list(graph.edges_of(graph.start))]
    results = {RESULTS[value] for value in solved.look_up(graph.codes[children]).value}
    assert results == {start_values(solved)[0]}
    assert found(game) == plainly.solve(plainly.marks(3, 3, affine_plane(3), misere=True))
