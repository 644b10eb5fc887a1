"""Marks that fall: what test_marks.py, which draws such games too, does not hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.codes import TURN, UNFINISHED, distinct
from games.game import with_lines
from games.house import load_house_rules
from games.housed import HousedGame
from games.inputs import LEGAL, classes_of, classify
from games.load import parse_game
from games.marks.gravity import Gravity
from games.problems import BadInput
from solver.engines import solve_game
from solver.proof import prove
from tests import naive, naive_sheet, twins

GAME = 'kind = "game"\nfamily = "marks"\ngravity = true\n'


def test_a_game_file_says_that_marks_fall():
    text = GAME + 'columns = 3\nrows = 2\nlines = [["a1", "c2"], ["b1", "b2", "c1"]]\nmisere = true\n'
    game = parse_game(text, "odd/three.toml")
    assert isinstance(game, Gravity)
    assert (game.name, game.move_names, game.misere) == ("three", ("a", "b", "c"), True)
    assert game.lines == (0b100001, 0b010110)
    assert any("loses" in sentence for sentence in game.rules)
    assert with_lines(game) is game


def test_seven_columns_of_six_fit_in_forty_nine_bits():
    game = twins.twins_in_a_row(7, 6, 4, falls=True).game
    assert game.bits == 49
    assert game.start == sum(1 << 7 * column for column in range(7))
    assert len(game.lines) == 69


@pytest.mark.parametrize(("columns", "rows"), [(9, 6), (7, 8), (1, 26), (2, 26), (26, 1)])
def test_the_largest_boards_are_played_column_by_column(columns, rows):
    pair = twins.twins_in_a_row(columns, rows, 4, falls=True)
    rng = np.random.default_rng(columns)
    board, turn = naive.FREE * pair.game.board.size, 0
    code = twins.one(pair.game.start)
    while pair.naive.result(board) is None:
        assert int(code[0]) == pair.naive.number(board) | turn << 63
        assert pair.game.ending(code)[0] == UNFINISHED
        moves, cells = pair.game.moves(code), pair.naive.open_cells(board)
        assert sorted(moves.move.tolist()) == sorted(cells)
        at = int(rng.integers(len(moves.move)))
        board = naive.put(board, cells[int(moves.move[at])], naive.SIGNS[turn])
        code, turn = moves.child[at : at + 1], 1 - turn
    assert int(code[0]) == pair.naive.number(board) | turn << 63
    results = {"first": 1, "second": 2, "draw": 3}
    assert pair.game.ending(code)[0] == results[pair.naive.result(board)]


@given(st.integers(0, 1), st.data())
def test_a_mark_in_the_air_is_no_position(seat, data):
    pair = twins.twins_in_a_row(4, 3, 3, falls=True)
    size = pair.game.board.size
    board = "".join(data.draw(st.lists(st.sampled_from("FS.."), min_size=size, max_size=size)))
    text = "/".join(
        pair.naive.written([{"F": "MV"[seat], "S": "VM"[seat], ".": "_"}[sign] for sign in board])
    )
    if board == twins.settled(4, board):
        assert pair.game.read(text, seat, 0) == pair.naive.number(board)
    else:
        with pytest.raises(ValueError, match="hangs in the air"):
            pair.game.read(text, seat, 0)


def test_what_holds_nothing_up_is_named():
    game = twins.twins_in_a_row(3, 3, 3, falls=True).game
    with pytest.raises(ValueError, match="the mark on 2 hangs in the air: 5 is free"):
        game.read("_M_/___/_V_", 0, 0)


def test_drawings_point_out_the_top_mark_of_a_column_and_name_the_columns():
    game = twins.twins_in_a_row(3, 3, 3, falls=True).game
    code = game.read("___/M__/VM_", 0, 0)
    assert game.drawing(code, 0, 0) == [" _  _  _ ", "(M) _  _ ", " V  M  _ "]
    assert game.drawing(code, 1, 1, named=True) == [" _  _  _ ", " V  _  _ ", " M (V) _ ", " a  b  c "]
    assert game.drawing(code, 0, 2) == game.drawing(code, 0)


def test_a_full_column_is_a_class_of_its_own_and_a_column_a_single_key():
    game = twins.twins_in_a_row(3, 2, 2, falls=True).game
    assert classes_of(game)[5] == "column-full"
    housed = HousedGame(game, load_house_rules("usual", game), 1)
    code = game.read("M__/V__", 1, 0)
    classes = [classify(game, housed.shape, code, 1, text)[0] for text in (b"a", b"B", b"d", b"1", b"a1")]
    assert classes == ["column-full", LEGAL, "off-board", "not-understood", "not-understood"]


def test_a_square_board_that_falls_is_only_mirrored_from_left_to_right():
    assert twins.twins_in_a_row(3, 3, 3).game.symmetries == 8
    assert twins.twins_in_a_row(3, 3, 3, falls=True).game.symmetries == 2
    assert twins.twins_in_a_row(1, 4, 2, falls=True).game.symmetries == 1
    assert twins.game_twins(3, 2, [[0, 1]], falls=True).game.symmetries == 1


SHEETS = {
    "a column of three": (["take a1, a2, a3", "take any free cell"], 0),
    "the first that can be marked": (["take the first free of b1, c3, b3"], 1),
}


@pytest.mark.parametrize("name", SHEETS)
def test_a_rule_about_cells_means_those_on_which_a_mark_can_fall(name):
    rules, seat = SHEETS[name]
    pair = twins.twins_in_a_row(4, 3, 3, falls=True)
    strategy, model = twins.strategy_twins(pair, seat, rules)
    board = "............"
    answers = strategy.answers(twins.codes_of(pair, [board], seat))
    assert answers.move.tolist() == model.answer(board)[1] == ([0] if seat == 0 else [2])


def test_a_sheet_is_proved_on_a_board_where_marks_fall():
    pair = twins.twins_in_a_row(4, 3, 4, falls=True)
    strategy, _ = twins.strategy_twins(pair, 1, ["look ahead 2 plies"])
    house = load_house_rules("usual", pair.game)
    model = naive.Housed(pair.naive, naive.House(), 1)
    checked = naive_sheet.Checked(model, twins.strategy_twins(pair, 1, ["look ahead 2 plies"])[1])
    assert prove(strategy, "never-loses", house).verdict == checked.verdict("never-loses")


def test_every_child_is_reached_from_its_parent_by_one_mark():
    """On 7 x 6, a few plies deep: each move adds one mark to one side and the turn passes."""
    game = twins.twins_in_a_row(7, 6, 4, falls=True).game
    codes = twins.one(game.start)
    for _ in range(5):
        moves = game.moves(codes)
        before, after = game.holdings(codes[moves.parent]), game.holdings(moves.child)
        mover = game.mover(codes)[moves.parent]
        for player in (0, 1):
            assert not (before[player] & ~after[player]).any()
            added = after[player] & ~before[player]
            assert np.array_equal(added != 0, mover == player)
            assert not (added & (added - np.uint64(1)))[added != 0].any()
        assert np.array_equal((codes[moves.parent] ^ moves.child) & TURN, np.full(len(moves.child), TURN))
        codes = distinct(moves.child)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "columns = 9\nrows = 7\nin-a-row = 4\n",
            (
                "game.toml:4: a board of 9 x 7 cells is too large where marks fall: it takes 9 x 8 = 72 bits; "
                "expected at most 63"
            ),
        ),
        (
            "columns = 3\nrows = 2\nin-a-row = 4\n",
            "game.toml:6: 'in-a-row' should be a whole number from 2 to 3, not 4",
        ),
        (
            'columns = 3\nrows = 2\nin-a-row = 3\nholes = ["a1"]\n',
            "game.toml:7: marks would fall into the holes; expected no 'holes' beside gravity = true",
        ),
        (
            "columns = 3\nrows = 2\nin-a-row = 3\ngravitas = true\n",
            (
                "game.toml:7: 'gravitas' is not known here; expected cells, columns, family, from, gravity, "
                "holes, in-a-row, kind, lines, marks, misere, ply-limit, rows or title; did you mean 'gravity'?"
            ),
        ),
        (
            'columns = 3\nrows = 2\nin-a-row = 3\nmarks = "either"\n',
            'game.toml:7: marks = "either" does not go with gravity = true; expected one of them',
        ),
    ],
)
def test_a_faulty_game_file_is_told_what_is_wrong(text, said):
    with pytest.raises(BadInput) as caught:
        parse_game(GAME + text, "game.toml")
    assert str(caught.value) == said


def test_whole_games_are_solved_as_the_naive_model_solves_them():
    for misere in (False, True):
        pair = twins.twins_in_a_row(3, 3, 3, misere=misere, falls=True)
        model = naive.Housed(pair.naive, naive.House(), 0)
        solved = solve_game(pair.game)
        states = list(naive.every_state(model, model.next))
        codes = np.array([pair.naive.number(s.board) | s.turn << 63 for s in states], dtype=np.uint64)
        found = solved.look_up(codes)
        worths = {1: naive.WIN, 2: naive.LOSS, 3: naive.DRAW}
        assert solved.positions == len(states)
        for state, value, plies in zip(states, found.value.tolist(), found.distance.tolist(), strict=True):
            assert model.value(state) == (worths[value], None if plies < 0 else plies)
