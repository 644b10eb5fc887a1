"""Boards that fill up, of more sizes: outcome tables known by heart, and figures of the plainest program."""

import numpy as np
import pytest

from games.codes import RESULTS
from solver.engines import solve_game
from solver.graph import explore
from solver.scores import solve_scores
from solver.values import best_play
from tests.published import figures, plainly
from tests.published.figures import OURS, Published, found, long

LARGE = 4 << 30
"""Bytes that a test marked long may use."""


def read(play, columns, rows, **keys):
    return figures.read("fill", play=play, columns=columns, rows=rows, **keys)


# Domineering ----------------------------------------------------------------------------------------------

DOMINEERING = Published(
    """
    rows   columns 1 to 13
    2      V 1 1 H V 1 1 H V 1 1 H 2
    3      V 1 1 H H H
    4      V V V 1 V 1
    5      V H V H 2
    6      V 1 V 1
    7      V 1 V
    8      V V
    9      V H
    """,
    "M. Lachmann, C. Moore, I. Rapaport, Who wins domineering on rectangular boards?, 2002, after E. R. Berlekamp, "
    "1988, and D. Breuker, J. Uiterwijk, J. van den Herik, 2000 (from memory): who wins, Vertical or Horizontal, or "
    "whoever begins (1), or the other (2)",
)
WINNERS = {
    "V": ("first", "first"),
    "H": ("second", "second"),
    "1": ("first", "second"),
    "2": ("second", "first"),
}
"""The winner where the first player (upright) begins, and where the second does."""
OUTCOMES = {
    (int(line.split()[0]), columns): outcome
    for line in DOMINEERING.value.strip().split("\n")[1:]
    for columns, outcome in enumerate(line.split()[1:], 1)
}
"""(rows, columns)"""


@pytest.mark.parametrize("size", [long(size) if np.prod(size) > 21 else size for size in OUTCOMES])
def test_who_wins_domineering(size):
    rows, columns = size
    game = read("dominoes", columns, rows)
    winners = tuple(found(game, begins).value for begins in (0, 1))
    assert winners == WINNERS[OUTCOMES[size]]
    if rows * columns <= 12:
        for begins in (0, 1):
            assert found(game, begins) == plainly.solve(plainly.dominoes(columns, rows, begins=begins))


def test_the_table_of_domineering_says_the_same_of_a_board_on_its_side():
    """Laid on its side, a board is one on which the two players have changed places."""
    for (rows, columns), outcome in OUTCOMES.items():
        turned = OUTCOMES.get((columns, rows))
        assert turned in (None, {"V": "H", "H": "V"}.get(outcome, outcome))


# Chomp ----------------------------------------------------------------------------------------------------

CHOMP = [(1, 1), (2, 1), (1, 5), (2, 2), (3, 2), (3, 3), (4, 3), (3, 4), (4, 4), (7, 3), (5, 4), (5, 5)]


@pytest.mark.parametrize(("columns", "rows"), CHOMP)
def test_chomp_on_any_bar(columns, rows):
    assert found(read("chomp", columns, rows)) == plainly.solve(plainly.chomp(columns, rows))


THREE_ROWS = Published(
    {
        2: (3, 2), 3: (2, 2), 4: (2, 3), 5: (3, 4), 6: (2, 4), 7: (3, 5), 8: (2, 5), 9: (3, 7), 10: (2, 6), 11: (2, 7),
        12: (3, 9),
    },
    f"the only bite that wins on 3 rows x so many columns, as row and column; {OURS} "
    "(A. Brouwer's page on the game has a longer list)",
)  # fmt: skip


@pytest.mark.parametrize("columns", THREE_ROWS.value)
def test_winning_bites_on_three_rows(columns):
    row, column = THREE_ROWS.value[columns]
    bite = str(3 * row - 3 + column) if columns == 3 else f"{'abcdefghijkl'[column - 1]}{row}"
    assert winning_openings(read("chomp", columns, 3)) == {bite}


def winning_openings(game):
    graph = explore(game)
    value = best_play(graph).value
    edges = graph.edges_of(graph.start)
    return {game.move_names[graph.move[e]] for e in edges if RESULTS[value[graph.child[e]]] == "first"}


# Dots and boxes -------------------------------------------------------------------------------------------

BOXES = {
    (1, 1): -1, (2, 1): 0, (3, 1): -1, (4, 1): 0, (5, 1): -1, (6, 1): 0, (2, 2): 2, (3, 2): -2, (4, 2): 2, (7, 1): -1,
}  # fmt: skip
"""Columns and rows of boxes: the first player's less the second's.

Ours only: D. Wilson's analysis has the larger ones (from memory); a program in C found the same as this one."""


@pytest.mark.parametrize("size", [long(size) if np.prod(size) > 5 else size for size in BOXES])
def test_boxes(size):
    columns, rows = size
    for board in {(columns, rows), (rows, columns)}:
        assert solve_scores(read("boxes", *board), memory=LARGE).at_start == BOXES[size]
    if columns * rows <= 4:
        assert plainly.boxes_difference(columns, rows) == BOXES[size]


# Hex ------------------------------------------------------------------------------------------------------

HEX = [(1, 1), (2, 1), (1, 2), (4, 1), (1, 4), (2, 2), (3, 2), (2, 3), (4, 2), (2, 4)]


@pytest.mark.parametrize("misere", [False, True])
@pytest.mark.parametrize(("columns", "rows"), HEX)
def test_hex_on_any_board(columns, rows, misere):
    game = read("hex", columns, rows, misere=misere)
    for begins in (0, 1) if game.other_start is not None else (0,):
        wanted = plainly.solve(plainly.hex_board(columns, rows, misere=misere, begins=begins))
        assert found(game, begins) == wanted


SHORTER_WAY = Published(
    [(3, 2), (2, 3), (4, 3), (3, 4), (5, 2), (2, 5)],
    "M. Gardner, 1957, after C. E. Shannon (from memory): on a board that is no square whoever has the shorter way "
    "wins, even as second, by pairing the cells",
)


@pytest.mark.parametrize("begins", [0, 1])
@pytest.mark.parametrize(("columns", "rows"), SHORTER_WAY.value)
def test_whoever_has_the_shorter_way_wins_hex(columns, rows, begins):
    assert found(read("hex", columns, rows), begins).value == ("first" if rows < columns else "second")


OPENINGS = Published(
    {2: {"b1", "a2"}, 3: {"3", "4", "5", "6", "7"}, 4: {"d1", "c2", "b3", "a4"}},
    "common practice: the short diagonal wins, and on 3 x 3 the two cells beside its middle as well (from memory)",
)  # fmt: skip


@pytest.mark.parametrize("size", [2, 3])
def test_winning_openings_of_hex(size):
    assert winning_openings(read("hex", size, size)) == OPENINGS.value[size]


@pytest.mark.long
def test_winning_openings_of_hex_on_four_by_four():
    game = read("hex", 4, 4)
    solved = solve_game(game, memory=LARGE)
    _, move, child = game.moves(np.array([game.start], dtype=np.uint64))
    values = solved.look_up(child).value
    winning = {game.move_names[m] for m, value in zip(move, values, strict=True) if RESULTS[value] == "first"}
    assert winning == OPENINGS.value[4]
