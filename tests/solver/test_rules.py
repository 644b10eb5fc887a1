"""Each rule of a sheet allows the cells that the naive reading of the design allows, on any board."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.problems import BadInput
from solver.sheet.reader import SheetReader
from solver.strategy import View
from tests import naive, naive_sheet, twins

THREE = twins.twins_in_a_row(3, 3, 3)
LONGER = (
    THREE,
    twins.twins_in_a_row(4, 3, 3),
    twins.twins_in_a_row(4, 4, 4),
    twins.twins_in_a_row(5, 2, 2),
    twins.twins_in_a_row(4, 4, 3, falls=True),
    twins.twins_in_a_row(5, 4, 4, falls=True),
    twins.catalogue_twins("plain-rows"),
)


def every_board(game):
    """All unfinished boards that play without house rules can meet, with either player to move."""
    housed = naive.Housed(game, naive.House(rules=(naive.HouseRule(("empty",), "turn"),)), 0)
    states = naive.every_state(housed, housed.next)
    return sorted({state.board for state in states if housed.result(state) is None})


BOARDS = every_board(THREE.naive)


def allowed_moves(pair, rule, boards, seat):
    """For each board the moves that a rule allows, all boards at once."""
    [read] = twins.read_rules(pair.game, [rule])
    allowed = read.allowed(View(pair.game, twins.codes_of(pair, boards, seat), seat))
    moves = [[] for _ in boards]
    for place, move in zip(allowed.place.tolist(), allowed.move.tolist(), strict=True):
        moves[place].append(move)
    return moves


def naive_moves(pair, rule, board, seat):
    return naive_sheet.moves_of(naive_sheet.seen(pair.naive, board, seat), rule)


ONE_WAY = [f"stop a double threat by {way}" for way in twins.WAYS]
HEAVIEST = "take the heaviest cell"


@pytest.mark.parametrize("seat", [0, 1])
@pytest.mark.parametrize("rule", [*twins.WHOLE_RULES, *ONE_WAY])
def test_every_rule_on_every_board_of_noughts_and_crosses(rule, seat):
    some = BOARDS[seat::5]  # both seats together and the rules drawn below see to the rest
    assert allowed_moves(THREE, rule, some, seat) == [naive_moves(THREE, rule, board, seat) for board in some]


@pytest.mark.long
@pytest.mark.parametrize("seat", [0, 1])
@pytest.mark.parametrize("rule", [*twins.WHOLE_RULES, *ONE_WAY, "look ahead 2 plies"])
def test_every_rule_on_every_single_board_of_noughts_and_crosses(rule, seat):
    assert allowed_moves(THREE, rule, BOARDS, seat) == [
        naive_moves(THREE, rule, board, seat) for board in BOARDS
    ]


@given(st.data())
def test_any_rule_on_boards_of_any_shape(data):
    pair = data.draw(st.sampled_from(LONGER) | twins.games(most_cells=9) | twins.falling_games(most_cells=12))
    seat = data.draw(st.integers(0, 1))
    rule = data.draw(twins.rules(pair.naive))
    drawn = data.draw(st.lists(twins.boards(pair), min_size=5, max_size=20))
    boards = [board for board in drawn if pair.naive.result(board) is None]
    assert allowed_moves(pair, rule, boards, seat) == [
        naive_moves(pair, rule, board, seat) for board in boards
    ]


@pytest.mark.parametrize(
    ("rule", "board", "cells"),
    [
        ("complete a line", "FF.SS....", [2]),
        ("block a line", "FF.SS....", [5]),
        ("make a double threat", "F...S...F", [2, 6]),
        ("make a double threat", "F..S....F", [2]),
        ("make a double threat", "F...F..SS", [2, 3, 6]),
        ("stop a double threat", "S...F...S", [1, 3, 5, 7]),
        ("stop a double threat by occupying it", "S...F...S", [2, 6]),
        ("stop a double threat by occupying the only one", "S...F...S", []),
        ("take the opposite corner", "S.....F..", [8]),
        ("take the opposite corner", "S.F...F..", [8]),
        ("take the first free of 5, 1, 9", "....S....", [0]),
        ("take 5 or 1, 9", "....S....", [0, 8]),
        (("picture", ("V!-", "-M-", "--V")), "S...F...S", [1, 3, 5, 7]),
        (("picture fixed", ("V!-", "-M-", "--V")), "S...F...S", [1]),
        ((HEAVIEST, ("3 for the centre", "2 for a corner", "1 for 1")), ".........", [0, 4]),
        ((HEAVIEST, ("3 for the centre", "2 for a corner", "1 for 1")), "....S....", [0]),
        ((HEAVIEST, ("3 for the centre", "2 for a corner", "1 for 1")), "F...S....", [2, 6, 8]),
        ((HEAVIEST, ("0 for the centre",)), "FS..S....", [2, 3, 5, 6, 7, 8]),
        ((HEAVIEST, ("-1 for a cell like 2",)), "F.F...F.F", [4]),
        (
            (HEAVIEST, ("9 for a line with 2 of mine", "5 for a line with 2 of the visitor's")),
            "FF.SS....",
            [2],
        ),
        (
            (HEAVIEST, ("2 for a line with 1 of mine", "3 for a diagonal line with 1 of mine")),
            "F........",
            [4, 8],
        ),
        ((HEAVIEST, ("2 for a line with 1 of mine and 1 of the visitor",)), "FS.......", [2]),
        ((HEAVIEST, ("1 for a line like 4, 5 and 6 with 1 of mine",)), "....F....", [1, 3, 5, 7]),
        ((HEAVIEST, ("1 for a line with no marks",)), "F........", [4]),
    ],
)
def test_rules_worked_out_by_hand_for_the_first_player(rule, board, cells):
    assert allowed_moves(THREE, rule, [board], 0) == [cells]
    assert naive_moves(THREE, rule, board, 0) == cells


def test_on_a_ring_a_rule_about_the_centre_or_opposite_corners_can_make_no_sense():
    ring = twins.game_twins(3, 3, [[0, 1, 2]], holes=(0, 2, 4)).game
    for rule, said in (("take the centre", "no centre"), ("take the opposite corner", "no opposite corners")):
        with pytest.raises(BadInput, match=said):
            SheetReader("bad.rules", [rule], ring).read(0)


def test_a_line_is_straight_in_a_row_or_column_and_else_diagonal_if_it_runs_as_a_bishop_goes():
    pair = twins.game_twins(4, 3, [[0, 2], [0, 8], [0, 10], [0, 9], [2, 8]])  # c1 and a3 lie on one diagonal
    board = "." * 12
    assert allowed_moves(pair, (HEAVIEST, ("1 for a straight line with no marks",)), [board], 0) == [[0]]
    assert allowed_moves(pair, (HEAVIEST, ("1 for a diagonal line with no marks",)), [board], 0) == [
        [0, 2, 8, 10]
    ]
    bent = (
        "3 for a line with no marks",
        *(f"-3 for a {kind} line with no marks" for kind in ("straight", "diagonal")),
    )
    assert allowed_moves(pair, (HEAVIEST, bent), [board], 0) == [[0, 9]]


def test_where_marks_fall_only_cells_to_which_one_can_fall_are_weighed():
    pair = twins.twins_in_a_row(3, 3, 3, falls=True)
    assert allowed_moves(pair, (HEAVIEST, ("9 for 2", "1 for 8", "2 for 6")), ["." * 9], 0) == [[1]]


@given(st.data())
def test_the_heaviest_cells_are_those_of_the_naive_sum(data):
    pair = data.draw(st.sampled_from(LONGER) | twins.games(most_cells=9) | twins.falling_games(most_cells=12))
    seat = data.draw(st.integers(0, 1))
    rule = data.draw(twins.weights(pair.naive))
    drawn = data.draw(st.lists(twins.boards(pair), min_size=5, max_size=20))
    boards = [board for board in drawn if pair.naive.result(board) is None]
    assert allowed_moves(pair, rule, boards, seat) == [
        naive_moves(pair, rule, board, seat) for board in boards
    ]


def test_for_longer_lines_a_double_threat_takes_lines_one_move_short_of_a_threat():
    pair = twins.twins_in_a_row(4, 4, 4)
    board = (
        "FF..F...F......."  # two of the top row and three of the left column: only one line is short by one
    )
    assert allowed_moves(pair, "make a double threat", [board], 0) == [[]]
    board = ".FF.F...F......."
    assert allowed_moves(pair, "make a double threat", [board], 0) == [[0]]


@pytest.mark.parametrize(
    ("sheet", "place", "said"),
    [
        ("take an edge", ":1:", "this board has no edges"),
        ("take the centre of it", ":1:", "expected the end of the line"),
        ("take z9", ":1:", "there is no cell 'z9'"),
        ("take a1, a1", ":1:", "named twice"),
        ("look ahead 0 plies", ":1:", "expected 1 to 100 plies"),
        ("use table \"none.csv\"", ":1:", "there is no table file"),
        ("picture\nM!\n", ":1:", "expected 2 rows"),
        ("picture\nM!\nMMM\n", ":3:", "this row has 3 signs"),
        ("picture\nM!\n!M\n", ":1:", "2 cells marked '!'"),
        ("picture\nM!\nX M\n", ":3:", "'X' is no sign of a picture"),
        ("# nothing\n", ":", "expected at least one rule"),
        (f"{HEAVIEST}\n", ":1:", "expected weights such as '3 for a corner' right below"),
        (f"{HEAVIEST}\ntake a corner", ":1:", "expected weights"),
        (f"{HEAVIEST}\n\n 10000 for a corner", ":3:2:", "expected a weight from -9999 to 9999, not 10000"),
        (f"{HEAVIEST}\n1 for an edge", ":2:1:", "this board has no edges; expected another weight"),
        (f"{HEAVIEST}\n1 for a line with 2 of mine", ":2:19:", "expected at most 1 mark in all"),
        (f"{HEAVIEST}\n1 for a line like a1", ":2:21:", "expected 'and', ',' or 'with', not the end"),
        (f"{HEAVIEST}\n1 for a corner\n2 for  A corner", ":3:1:", "given twice; the first time on line 2"),
    ],
)  # fmt: skip
def test_a_faulty_rule_is_told_at_its_line(sheet, place, said):
    with pytest.raises(BadInput) as caught:
        SheetReader("bad.rules", sheet.split("\n"), twins.twins_in_a_row(2, 2, 2).game).read(0)
    assert str(caught.value).startswith(f"bad.rules{place}")
    assert said in str(caught.value)
