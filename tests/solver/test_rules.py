"""Each rule of a sheet allows the cells that the naive reading of the design allows, on any board."""

import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.load import load_game
from games.problems import BadInput
from solver.sheet.reader import SheetReader, slips_of_grammar
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
        (("picture", ("V!-", "-M-", "--V")), "S...F...F", []),
        (("picture", ("V!-", "-M-", "--V")), "S.......S", []),
        (("picture fixed", ("_!-", "---", "---")), ".........", [1]),
        (("picture fixed", ("_!-", "---", "---")), "F........", []),
        (("picture", ("_!-", "---", "---")), "F.S......", [3, 5, 7]),
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


SMALL = twins.twins_in_a_row(2, 2, 2).game
RING = twins.game_twins(3, 3, [[0, 1, 2]], holes=(0, 2, 4)).game
ACROSS = twins.game_twins(2, 2, [[0, 3]]).game
SIGNS = "M (a mark of mine), V (a mark of the visitor's), _ (a free cell), - (any cell) or ! (play here)"
NONE = "there is no cell '{}' on this board; expected one of {}"
ENDS = "expected ',', 'or' or the end of the line, not"


FAULTS = [
    (SMALL, "take an edge", "1:1: this board has no edges; expected another rule"),
    (RING, "take the centre", "1:1: this board has no centre; expected another rule"),
    (RING, "take the opposite corner", "1:1: this board has no opposite corners; expected another rule"),
    (
        SMALL,
        "take the centre of it",
        "1:17: expected the end of the line, not 'of'; did you mean 'take the centre'?",
    ),
    (
        SMALL,
        "take the  center",
        "1:11: expected 'centre', 'first', 'heaviest' or 'opposite', not 'center'; did you mean 'centre'?",
    ),
    (SMALL, "COMPLETE LINE", "1:10: expected 'a', not 'LINE'; did you mean 'complete a line'?"),
    (SMALL, "complete", "1:9: expected 'a', not the end of the line; did you mean 'complete a line'?"),
    (SMALL, "take fre cell", f"1:10: {ENDS} 'cell'; did you mean 'take any free cell'?"),
    (SMALL, "take a", "1:7: expected 'corner', not the end of the line"),
    (
        SMALL,
        "play",
        ("1:1: expected 'block', 'complete', 'look', 'make', 'picture', 'stop', 'take' or 'use', not 'play'"),
    ),
    (
        SMALL,
        "take \u2018a1\u2019",
        (
            "1:6: expected 'a', 'an', 'any', 'the' or a cell's name, not '\u2018'"
            " (a typographic quote; type the straight one)"
        ),
    ),
    (SMALL, "take a1 \u2013 a2", f"1:9: {ENDS} '\u2013' (a long dash; type the short one)"),
    (SMALL, "look ahead two plies", "1:12: expected a number, not 'two'"),
    (SMALL, "use table good", "1:11: expected a file name in \"...\", not 'good'"),
    (
        SMALL,
        "Seat first",
        (
            "1:1: 'Seat first' belongs in the header, above the rules, and with a colon,"
            " such as 'seat: second'"
        ),
    ),
    (SMALL, " seat :  first", "1:1: 'seat : first' belongs in the header, above the rules"),
    (SMALL, "take z9", f"1:6: {NONE.format('z9', 'a1, b1, a2, b2')}"),
    (SMALL, "take the first free of a1, a3", f"1:28: {NONE.format('a3', 'a1, b1, a2, b2')}"),
    (
        twins.game_twins(2, 1, [[0, 1]], ["north", "south"]).game,
        "take norht",
        f"1:6: {NONE.format('norht', 'north, south')}; did you mean 'north'?",
    ),
    (SMALL, "take a1, b1, A1", "1:14: cell 'A1' is named twice; expected each once"),
    (SMALL, "look ahead 0 plies", "1:12: expected 1 to 100 plies, not 0"),
    (SMALL, "look ahead 101 plies", "1:12: expected 1 to 100 plies, not 101"),
    (SMALL, f"look ahead {'9' * 5000} plies", f"1:12: expected 1 to 100 plies, not {'9' * 5000}"),
    (
        SMALL,
        'use table "none.csv"',
        '1:11: there is no table file "none.csv"; expected one beside this sheet',
    ),
    (
        load_game("hexapawn"),
        "take  a Corner",
        (
            "1:1: 'take a Corner' makes no sense in Hexapawn, which is no game"
            " of marks and lines; expected 'look ahead ...' or 'use table ...'"
        ),
    ),
    (SMALL, "# nothing", "1: expected at least one rule, such as 'take any free cell'"),
    (SMALL, "\n\n# nothing\n\n", "3: expected at least one rule, such as 'take any free cell'"),
    (SMALL, "picture", "1: this picture has no rows; expected 2 rows of 2 signs right below 'picture'"),
    (SMALL, "picture\nM!", "1: this picture has 1 row; expected 2 rows of 2 signs right below 'picture'"),
    (
        SMALL,
        "picture\nM!\n__\n--",
        "1: this picture has 3 rows; expected 2 rows of 2 signs right below 'picture'",
    ),
    (SMALL, "picture\nM!\nMMM", "3: this row has 3 signs; expected 2"),
    (SMALL, "picture\nM\n\n!M", "2: this row has 1 sign; expected 2"),
    (SMALL, "picture\nM!\n!M", "1: this picture has 2 cells marked '!' (play here); expected just one"),
    (SMALL, "picture\nM-\nMM", "1: this picture has no cell marked '!' (play here); expected just one"),
    (SMALL, "picture\nM!\nX M", f"3:1: 'X' is no sign of a picture; expected {SIGNS}"),
    (SMALL, "picture\nM!\nM v", f"3:3: 'v' is no sign of a picture; expected {SIGNS}; did you mean 'V'?"),
    (
        SMALL,
        "picture\nM!\nM\u2014",
        f"3:2: '\u2014' is no sign of a picture; expected {SIGNS}; did you mean '-'?",
    ),
    (RING, "picture\n.!.\n- - -\nMV_", "3:3: there is a hole here; expected '.', not '-'"),
    (SMALL, HEAVIEST, f"1: expected weights such as '3 for a corner' right below '{HEAVIEST}'"),
    (
        SMALL,
        "take the  Heaviest cell\ntake a corner",
        "1: expected weights such as '3 for a corner' right below 'take the Heaviest cell'",
    ),
    (SMALL, f"{HEAVIEST}\n\n 10000 for a corner", "3:2: expected a weight from -9999 to 9999, not 10000"),
    (SMALL, f"{HEAVIEST}\n- 10000 for a corner", "2:3: expected a weight from -9999 to 9999, not 10000"),
    (SMALL, f"{HEAVIEST}\n 1 for an edge", "2:2: this board has no edges; expected another weight"),
    (
        SMALL,
        f"{HEAVIEST}\n1 for a line with 2 of mine",
        "2:19: expected at most 1 mark in all, since a cell of the line must be free",
    ),
    (
        THREE.game,
        f"{HEAVIEST}\n1 for a line with 2 of mine and 1 of the visitor",
        "2:33: expected at most 2 marks in all, since a cell of the line must be free",
    ),
    (
        SMALL,
        f"{HEAVIEST}\n1 for a line like a1",
        "2:21: expected 'and', ',' or 'with', not the end of the line",
    ),
    (
        SMALL,
        f"{HEAVIEST}\n1 for a corner\n2 for  A corner",
        "3:1: this weight is given twice; the first time on line 2",
    ),
    (SMALL, f"{HEAVIEST}\n1 for a cell like z9", f"2:19: {NONE.format('z9', 'a1, b1, a2, b2')}"),
    (SMALL, f"{HEAVIEST}\n1 for a1 or a1", "2:13: cell 'a1' is named twice; expected each once"),
    (
        ACROSS,
        f"{HEAVIEST}\n1 for a line like a1 and b1 with no marks",
        "2:19: these cells are no line of the game; expected all cells of one",
    ),
    (
        ACROSS,
        f"{HEAVIEST}\n1 for a straight line with no marks",
        "2:1: this game has no straight lines; expected another weight",
    ),
    (
        RING,
        f"{HEAVIEST}\n1 for a diagonal line with no marks",
        "2:1: this game has no diagonal lines; expected another weight",
    ),
    (
        twins.game_twins(2, 2, []).game,
        f"{HEAVIEST}\n1 for a line with no marks",
        "2:1: this game has no lines; expected another weight",
    ),
]


@pytest.mark.parametrize(("game", "sheet", "told"), FAULTS, ids=map(str, range(len(FAULTS))))
def test_a_faulty_rule_is_told_word_for_word_at_its_place(game, sheet, told):
    lines = sheet.split("\n")
    with pytest.raises(BadInput) as caught:
        SheetReader("bad.rules", lines, game).read(0)
    [problem] = caught.value.problems
    place = f"{problem.line}:{problem.column}" if problem.column else f"{problem.line}"
    assert (problem.file, f"{place}: {problem.message}") == ("bad.rules", told)
    # Where a column is told, the line stands below it with a caret.
    assert problem.shown == (lines[problem.line - 1] if problem.column else "")


def test_all_faults_of_a_sheet_are_told_in_their_order():
    sheet = [
        "take z9",
        "picture",
        "M?",
        "!? ",
        "take an edge",
        HEAVIEST,
        "1 for z8",
        "1 for a",
        "1 for a1",
        "2 for A1",
    ]
    with pytest.raises(BadInput) as caught:
        SheetReader("bad.rules", sheet, SMALL).read(0)
    places = [(problem.line, problem.column) for problem in caught.value.problems]
    assert places == [(1, 6), (3, 2), (4, 2), (5, 1), (7, 7), (8, 8), (10, 1)]


SHEET = """
# a remark
  PICTURE  fixed   # so

M ! -
# between its rows
- V _  # the middle

. . -
take The  corner  # not yet
take the first free of  9, a
TAKE the heaviest CELL

 3 for a  corner  # each

- 1 for 9
look  ahead 2   plies
picture
-!-
---
..-
"""
"""A sheet with blanks, capitals and remarks wherever they may stand, for a board without two corners."""


def test_a_rule_is_shown_as_it_was_written_with_its_first_line(tmp_path):
    lines = SHEET.replace("The  corner", "A  corner").split("\n")
    (tmp_path / "own.csv").write_text("position,move\n___/___/..V,1\n", "utf-8")
    lines[-1] = 'use  table "own.csv"  # beside it'
    game = twins.game_twins(3, 3, [[0, 1, 2]], "12345679a", holes=(6, 7)).game
    read = SheetReader(str(tmp_path / "s.rules"), lines, game).read(1)
    assert [(rule.line, rule.text) for rule in read] == [
        (3, "PICTURE fixed M!-/-V_/..-"),
        (10, "take A corner"),
        (11, "take the first free of 9, a"),
        (12, "TAKE the heaviest CELL: 3 for a corner; - 1 for 9"),
        (17, "look ahead 2 plies"),
        (18, "picture -!-/---/..-"),
        (22, 'use table "own.csv"'),
    ]
    assert [rule.stores_answers for rule in read] == [False] * 6 + [True]
    assert slips_of_grammar("s.rules", lines, 1) == []


def test_a_rule_that_is_sent_to_another_process_is_the_same_there():
    [rule] = twins.read_rules(THREE.game, ["take  a corner"])
    sent = pickle.loads(pickle.dumps(rule))
    assert (sent.text, sent.line, sent.meaning) == ("take a corner", 1, rule.meaning)
    view = View(THREE.game, twins.codes_of(THREE, ["F........"], 1), 1)
    assert sent.allowed(view).move.tolist() == rule.allowed(view).move.tolist() == [2, 6, 8]


def test_without_a_game_what_is_no_rule_at_all_is_told_and_nothing_else():
    """Below a picture anything may be a row of it, and below a heading weights are read."""
    lines = (
        SHEET.replace(" 3 for a  corner", " 3 for corner").replace("look  ahead", "look  a head").split("\n")
    )
    lines += [
        "seat: first",
        "picture too",
        "M M M M",
        "take a1, z9",
        "take the heaviest cells",
        "1 for a",
        "x",
    ]
    slips = slips_of_grammar("s.rules", lines, 1)
    assert [(slip.file, slip.line, slip.column) for slip in slips] == [
        ("s.rules", 10, 11),
        ("s.rules", 14, 8),
        ("s.rules", 17, 7),
        ("s.rules", 23, 1),
        ("s.rules", 24, 9),
        ("s.rules", 27, 19),
        ("s.rules", 28, 8),
        ("s.rules", 29, 1),
    ]
    assert slips[3].message == "'seat: first' belongs in the header, above the rules"
    assert [slip.shown for slip in slips] == [lines[slip.line - 1].partition("  #")[0] for slip in slips]
