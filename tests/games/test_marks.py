"""Games of marks against the naive model: any board, any lines, misere or not, marks that stay or fall."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.bitsets import bits_of
from games.board import Board
from games.game import inverse_symmetries, least_images
from games.inputs import refusal_class
from games.load import load_game, parse_game
from games.problems import BadInput
from games.squares import lines_in_a_row, symmetries_of
from solver.engines import solve_game
from solver.graph import explore
from solver.solved import start_values
from tests import naive, twins

RESULTS = {"first": 1, "second": 2, "draw": 3, None: 0}


def any_game(most_cells=6):
    return twins.games(most_cells) | twins.falling_games(most_cells)


def board_code(pair, board, turn):
    return pair.naive.number(board) | turn << 63


def every_move(game):
    return np.arange(len(game.move_names), dtype=np.uint16)


def naive_positions(game):
    housed = naive.Housed(game, naive.House(), 0)
    return housed, naive.every_state(housed, housed.next)


@given(any_game())
def test_positions_moves_endings_and_turns_are_the_naive_ones(pair):
    housed, plies = naive_positions(pair.naive)
    graph = explore(pair.game)
    codes = {board_code(pair, state.board, state.turn): state for state in plies}
    assert graph.codes.tolist() == sorted(codes)
    for place, code in enumerate(graph.codes.tolist()):
        state = codes[code]
        assert graph.mover[place] == state.turn
        assert graph.ending[place] == RESULTS[housed.result(state)]
        assert graph.ply[place] == plies[state]
        over = housed.result(state) is not None
        found = {int(graph.move[e]): int(graph.codes[graph.child[e]]) for e in graph.edges_of(place)}
        wanted = {} if over else {m: board_code(pair, s.board, s.turn) for m, s in housed.next(state).items()}
        assert found == wanted
        assert list(found) == sorted(found)


@given(any_game(9))
def test_symmetries_are_those_of_the_naive_model_in_the_same_order(pair):
    game, turns = pair.game, pair.naive.turns
    assert [list(images) for images in game.cell_images] == turns
    moves = every_move(game)
    found = [game.turned_move(s, moves).tolist() for s in range(game.symmetries)]
    assert found == [[pair.naive.turned_move(turn, move) for move in moves.tolist()] for turn in turns]


@given(any_game(9))
def test_symmetries_are_a_group_with_the_identity_first(pair):
    every = every_move(pair.game)
    images = [tuple(pair.game.turned_move(s, every).tolist()) for s in range(pair.game.symmetries)]
    assert images[0] == tuple(every.tolist())
    assert len(set(images)) == len(images)
    assert {tuple(second[cell] for cell in first) for first in images for second in images} == set(images)
    for symmetry, back in enumerate(inverse_symmetries(pair.game)):
        assert [images[back][cell] for cell in images[symmetry]] == every.tolist()


def boards(pair):
    """Any board, and whose turn it is."""
    return st.tuples(twins.boards(pair), st.integers(0, 1))


@given(st.data())
def test_turning_commutes_with_moves_endings_turns_and_holdings(data):
    pair = data.draw(any_game(9))
    game = pair.game
    board, turn = data.draw(boards(pair))
    symmetry = data.draw(st.integers(0, game.symmetries - 1))
    code = twins.one(board_code(pair, board, turn))
    image = game.turned(symmetry, code)
    assert int(image[0]) == board_code(pair, pair.naive.turned(pair.naive.turns[symmetry], board), turn)
    assert game.mover(image) == game.mover(code)
    assert game.ending(image) == game.ending(code)
    _, move, child = game.moves(code)
    turned_first = game.moves(image)
    pairs_before = set(
        zip(game.turned_move(symmetry, move).tolist(), game.turned(symmetry, child).tolist(), strict=True)
    )
    assert pairs_before == set(zip(turned_first.move.tolist(), turned_first.child.tolist(), strict=True))
    moves = every_move(game)
    assert (
        game.why_not(np.repeat(code, len(moves)), moves).tolist()
        == game.why_not(np.repeat(image, len(moves)), game.turned_move(symmetry, moves)).tolist()
    )


@given(st.data())
def test_least_images_are_the_naive_ones_with_the_first_symmetry_that_gives_them(data):
    pair = data.draw(any_game(9))
    drawn = data.draw(st.lists(boards(pair), min_size=1, max_size=8))
    codes = np.array([board_code(pair, *each) for each in drawn], dtype=np.uint64)
    least, by = least_images(pair.game, codes)
    for place, (board, turn) in enumerate(drawn):
        image, naive_turn = pair.naive.least_image(board)
        assert int(least[place]) == board_code(pair, image, turn)
        assert pair.naive.turns[by[place]] == naive_turn


def test_the_largest_board_is_turned_cell_by_cell():
    pair = twins.twins_in_a_row(7, 4, 4)
    assert pair.game.symmetries == 4
    for symmetry, turn in enumerate(pair.naive.turns):
        for cell in range(28):
            for sign in "FS":
                board = naive.put("." * 28, cell, sign)
                image = pair.game.turned(symmetry, twins.one(board_code(pair, board, 1)))
                assert int(image[0]) == board_code(pair, pair.naive.turned(turn, board), 1)


def test_lines_that_are_not_symmetrical_leave_fewer_symmetries():
    assert twins.game_twins(3, 3, [[0, 1, 2]]).game.symmetries == 2
    assert twins.game_twins(3, 3, [[0, 1]]).game.symmetries == 1
    assert twins.game_twins(3, 3, [[0, 4, 8]]).game.symmetries == 4
    assert twins.twins_in_a_row(4, 3, 3).game.symmetries == 4
    assert twins.twins_in_a_row(4, 1, 2).game.symmetries == 2


def test_holes_leave_the_symmetries_that_keep_them():
    def symmetries(columns, rows, holes):
        board = Board(columns, rows, (), holes)
        return len(symmetries_of(board, tuple(bits_of(line) for line in lines_in_a_row(board, 2))))

    assert symmetries(3, 3, [4]) == 8
    assert symmetries(3, 3, [1]) == 2
    assert symmetries(3, 3, [0, 1]) == 1
    assert symmetries(4, 3, [5, 6]) == 4
    assert symmetries(4, 3, [5]) == 2


@given(st.integers(1, 5), st.integers(1, 5), st.integers(2, 4), st.data())
def test_no_line_in_a_row_goes_through_a_hole(columns, rows, length, data):
    holes = data.draw(st.sets(st.integers(0, columns * rows - 1), max_size=columns * rows - 1))
    board = Board(columns, rows, (), sorted(holes))
    found = [[board.squares[cell] for cell in line] for line in lines_in_a_row(board, length)]
    assert sorted(found) == sorted(
        line for line in naive.in_a_row(columns, rows, length) if not holes & set(line)
    )


@given(st.data())
def test_a_code_is_made_of_two_sets_of_cells_and_gives_them_back(data):
    pair = data.draw(any_game(9))
    board, turn = data.draw(boards(pair))
    held = [sum(1 << cell for cell, sign in enumerate(board) if sign == each) for each in "FS"]
    code = pair.game.code_of(*held, turn)
    assert code == board_code(pair, board, turn)
    assert [int(cells[0]) for cells in pair.game.holdings(twins.one(code))] == held
    assert pair.game.codes_of(*(twins.one(cells) for cells in held), turn).tolist() == [code]


@given(st.data())
def test_why_a_move_may_not_be_played_is_what_the_naive_model_says(data):
    pair, seat = data.draw(any_game(9)), data.draw(st.integers(0, 1))
    board, turn = data.draw(boards(pair))
    moves = every_move(pair.game)
    codes = np.full(len(moves), board_code(pair, board, turn), dtype=np.uint64)
    for move, reason in enumerate(pair.game.why_not(codes, moves).tolist()):
        if move in pair.naive.open_cells(board):
            assert reason == 0
        else:
            refusal = pair.game.refusals[reason - 1]
            assert refusal_class(refusal, seat) == pair.naive.refusal(board, move, seat)


@given(st.data())
def test_moves_onto_some_cells_are_those_that_mark_one_of_them(data):
    pair = data.draw(any_game(9))
    drawn = data.draw(st.lists(boards(pair), min_size=1, max_size=8))
    sets = data.draw(st.lists(st.integers(0, (1 << pair.game.board.size) - 1), min_size=8, max_size=8))
    codes = np.array([board_code(pair, *each) for each in drawn], dtype=np.uint64)
    place, move = pair.game.moves_onto(codes, np.array(sets[: len(codes)], dtype=np.uint64))
    wanted = [
        (number, each)
        for number, (board, _) in enumerate(drawn)
        for each, cell in sorted(pair.naive.open_cells(board).items())
        if sets[number] >> cell & 1
    ]
    assert list(zip(place.tolist(), move.tolist(), strict=True)) == wanted
    assert move.dtype == np.uint16


@given(st.data())
def test_a_position_is_read_back_from_its_text(data):
    pair, seat = data.draw(any_game(9)), data.draw(st.integers(0, 1))
    board, turn = data.draw(boards(pair))
    code = board_code(pair, board, turn)
    [text] = pair.game.texts(twins.one(code), seat)
    signs = {"F": "MV"[seat], "S": "VM"[seat], ".": "_"}
    assert text == "/".join(pair.naive.written([signs[sign] for sign in board]))
    assert pair.game.read(text, seat, turn) == code


GAME = 'kind = "game"\nfamily = "marks"\n'
LONG_NAMES = [f"number{number:02}" for number in range(28)]
ALL_BUT_THE_TENTH_ROW = [f"{letter}{row}" for letter in "abcdefghijklmnopqrstuvwxyz" for row in range(1, 10)]


def test_a_game_file_gives_lines_names_and_the_misere_rule():
    text = GAME + 'columns = 3\nrows = 1\ncells = ["x", "y", "z"]\nlines = [["x", "z"]]\nmisere = true\n'
    game = parse_game(text, "odd/three.toml")
    assert (game.name, game.move_names, game.lines, game.misere) == ("three", ("x", "y", "z"), (0b101,), True)
    assert any("loses" in sentence for sentence in game.rules)
    assert not any("loses" in sentence for sentence in twins.twins_in_a_row(3, 3, 3).game.rules)


def test_a_game_file_can_have_holes_and_lines_of_all_lengths():
    text = (
        GAME
        + 'columns = 3\nrows = 3\nholes = ["5"]\nlines = [["1", "2"], ["3", "6", "9"], ["7", "1", "8", "4"]]\n'
    )
    game = parse_game(text, "ring.toml")
    assert (game.board.squares, game.move_names) == ((0, 1, 2, 3, 5, 6, 7, 8), tuple("12346789"))
    assert game.lines == (0b11, 0b10010100, 0b01101001)
    assert any("'.' stands for a hole" in sentence for sentence in game.rules)
    in_a_row = parse_game(GAME + 'columns = 3\nrows = 3\nholes = ["5"]\nin-a-row = 3\n', "ring.toml")
    assert in_a_row.lines == (0b111, 0b101001, 0b10010100, 0b11100000)
    named = parse_game(
        GAME + 'columns = 2\nrows = 2\nholes = ["a1"]\ncells = ["N", "W", "S"]\nlines = [["N", "S"]]\n',
        "three.toml",
    )
    assert (named.move_names, named.lines) == (("N", "W", "S"), (0b101,))
    assert (
        twins.game_twins(1, 1, [[0]]).game.rules[-1]
        == "When the board is full and no line is, the game is a draw."
    )


def test_a_board_of_many_squares_can_be_small_enough_for_its_holes():
    holes = [f"{letter}{row}" for letter in "abcdef" for row in range(2, 6)]
    game = parse_game(
        GAME + f"columns = 6\nrows = 5\nin-a-row = 3\nholes = {holes}\n".replace("'", '"'), "six.toml"
    )
    assert game.board.size == 6


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            "columns = 3\nrows = 3\nin-a-row = 4\n",
            "game.toml:5: 'in-a-row' should be a whole number from 2 to 3, not 4",
        ),
        (
            "columns = 6\nrows = 5\nin-a-row = 4\n",
            "game.toml:3: a board of 6 x 5 cells is too large; expected at most 28 cells",
        ),
        (
            'columns = 2\nrows = 1\nlines = [["a1", "c1"]]\n',
            "game.toml:5: a line goes through 'c1', and there is no such cell",
        ),
        (
            'columns = 2\nrows = 1\nlines = [["a1"]]\n',
            "game.toml:5: a line is a1; expected two or more different cells",
        ),
        ("columns = 2\nrows = 1\nlines = []\n", "game.toml:5: there are no lines; expected at least one"),
        (
            'columns = 2\nrows = 1\nin-a-row = 2\nlines = [["a1", "b1"]]\n',
            "game.toml:6: both 'lines' and 'in-a-row' are given; expected one of them",
        ),
        (
            'columns = 2\nrows = 1\nin-a-row = 2\ncells = ["a"]\n',
            "game.toml:6: 'cells' names 1 cell; expected 2, in reading order",
        ),
        (
            'columns = 2\nrows = 1\nin-a-row = 2\ncells = ["a", "a"]\n',
            "game.toml:6: 'cells' names a cell twice; expected every name once, in capitals or not",
        ),
        (
            'columns = 2\nrows = 1\nin-a-row = 2\ncells = ["a", "A"]\n',
            "game.toml:6: 'cells' names a cell twice; expected every name once, in capitals or not",
        ),
        (
            'columns = 2\nrows = 1\nin-a-row = 2\ncells = ["a", "b!"]\n',
            "game.toml:6: a cell cannot be called 'b!'; expected letters and digits only",
        ),
        (
            'columns = 3\nrows = 1\nlines = [["a1", "b1"], ["b1", "a1"]]\n',
            "game.toml:5: the line b1, a1 is given twice; expected each once",
        ),
        (
            "columns = 3\nrows = 3\nin-a-row = 3\nmiser = true\n",
            (
                "game.toml:6: 'miser' is not known here; expected cells, columns, family, from, gravity, holes, "
                "in-a-row, kind, lines, marks, misere, ply-limit, rows or title; did you mean 'misere'?"
            ),
        ),
        (
            'columns = 3\nrows = 3\nin-a-row = 3\nholes = ["0"]\n',
            "game.toml:6: 'holes' names '0', and there is no such square",
        ),
        (
            'columns = 2\nrows = 2\nin-a-row = 2\nholes = ["a1", "a1"]\n',
            "game.toml:6: 'holes' names a square twice; expected each once",
        ),
        (
            'columns = 2\nrows = 1\nin-a-row = 2\nholes = ["a1", "b1"]\n',
            "game.toml:6: every square is a hole; expected some cells to play on",
        ),
        (
            'columns = 3\nrows = 1\nin-a-row = 2\nholes = ["b1"]\n',
            "game.toml:5: no line of 2 cells fits on a board of 3 x 1 without going through a hole",
        ),
        (
            'columns = 3\nrows = 1\nholes = ["b1"]\nlines = [["a1", "b1"]]\n',
            "game.toml:6: a line goes through 'b1', and there is no such cell",
        ),
        (
            'columns = 6\nrows = 5\nin-a-row = 4\nholes = ["c3"]\n',
            "game.toml:3: a board of 6 x 5 cells, 1 of them holes, is too large; expected at most 28 cells",
        ),
        (
            f"columns = 9\nrows = 1\nin-a-row = 2\ncells = {LONG_NAMES[:9]}\n",
            (
                "game.toml:6: 9 columns with names such as 'number00' would be 80 characters wide; expected at "
                "most 77"
            ),
        ),
        (
            f"columns = 26\nrows = 10\nin-a-row = 3\nholes = {ALL_BUT_THE_TENTH_ROW}\n",
            "game.toml:3: 26 columns with names such as 'a10' would be 103 characters wide; expected at most 77",
        ),
        (
            "columns = 7\nrows = 9\ngravity = true\nin-a-row = 4\n",
            (
                "game.toml:3: a board of 7 x 9 cells is too large where marks fall: it takes 7 x 10 = 70 bits; "
                "expected at most 63"
            ),
        ),
        (
            'columns = 3\nrows = 3\ngravity = true\nin-a-row = 3\nholes = ["5"]\n',
            "game.toml:7: marks would fall into the holes; expected no 'holes' beside gravity = true",
        ),
        (
            'columns = 3\nrows = 3\ngravity = true\nin-a-row = 3\nmarks = "same"\n',
            'game.toml:7: marks = "same" does not go with gravity = true; expected one of them',
        ),
        (
            'columns = 3\nrows = 3\nin-a-row = 3\nmarks = "ether"\n',
            'game.toml:6: \'marks\' should be "own", "either" or "same", not "ether"; did you mean \'either\'?',
        ),
        (
            'columns = 2\nrows = 1\nin-a-row = 2\nmarks = "either"\ncells = ["abcdefgh", "b"]\n',
            "game.toml:7: a cell cannot be called 'abcdefgh'; expected at most 7 characters",
        ),
    ],
)
def test_a_faulty_game_file_is_told_what_is_wrong(text, said):
    with pytest.raises(BadInput) as caught:
        parse_game(GAME + text.replace("'", '"'), "game.toml")
    assert str(caught.value) == said


CATALOGUE = {
    "four-by-four": (9_722_011, ("draw", None)),
    "five-by-three": (2_286_668, ("first", 7)),
    "misere-four-by-three": (111_973, ("second", 11)),
    "round-the-basin": (125_529, ("draw", None)),
    "falling-three-4x3": (7_157, ("first", 9)),
    "misere-falling-three-4x3": (7_157, ("second", 11)),
    "falling-four-4x4": (161_029, ("draw", None)),
    "falling-four-5x4": (3_945_711, ("draw", None)),
    "wild-noughts-and-crosses": (18_753, ("first", 7)),
    "crosses-only": (450, ("first", 3)),
    "misere-crosses-only": (450, ("first", 6)),
}
"""Positions that can arise, value and plies; found by two engines of ours, where not published in tests/published/."""


@pytest.mark.parametrize("name", CATALOGUE)
def test_a_game_of_the_catalogue_is_what_its_name_says(name):
    game = load_game(name)
    assert game.origin
    solved = solve_game(game)
    assert (solved.positions, start_values(solved)) == CATALOGUE[name]


def test_the_board_round_the_basin_has_no_middle():
    game = load_game("round-the-basin")
    assert game.board.size == 12
    assert len(game.lines) == 8
    assert game.symmetries == 8
