"""Games of marks against the naive model: any rectangle, any lines, misere or not."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.game import inverse_symmetries, least_images
from games.load import parse_game
from games.problems import BadInput
from solver.graph import explore
from tests import naive, twins

RESULTS = {"first": 1, "second": 2, "draw": 3, None: 0}


def board_code(board, turn):
    size = len(board)
    code = sum(1 << cell for cell, sign in enumerate(board) if sign == "F")
    return code | sum(1 << size + cell for cell, sign in enumerate(board) if sign == "S") | turn << 63


def naive_positions(game):
    housed = naive.Housed(game, naive.House(), 0)
    return housed, naive.every_state(housed, housed.next)


@given(twins.games())
def test_positions_moves_endings_and_turns_are_the_naive_ones(pair):
    housed, plies = naive_positions(pair.naive)
    graph = explore(pair.game)
    codes = {board_code(state.board, state.turn): state for state in plies}
    assert graph.codes.tolist() == sorted(codes)
    for place, code in enumerate(graph.codes.tolist()):
        state = codes[code]
        assert graph.mover[place] == state.turn
        assert graph.ending[place] == RESULTS[housed.result(state)]
        assert graph.ply[place] == plies[state]
        over = housed.result(state) is not None
        found = {int(graph.move[e]): int(graph.codes[graph.child[e]]) for e in graph.edges_of(place)}
        wanted = {} if over else {m: board_code(s.board, s.turn) for m, s in housed.next(state).items()}
        assert found == wanted
        assert list(found) == sorted(found)


@given(twins.games(most_cells=9))
def test_symmetries_are_those_of_the_naive_model_in_the_same_order(pair):
    every = np.arange(pair.game.board.size, dtype=np.uint16)
    found = [pair.game.turned_move(s, every).tolist() for s in range(pair.game.symmetries)]
    assert found == pair.naive.turns


@given(twins.games(most_cells=9))
def test_symmetries_are_a_group_with_the_identity_first(pair):
    every = np.arange(pair.game.board.size, dtype=np.uint16)
    images = [tuple(pair.game.turned_move(s, every).tolist()) for s in range(pair.game.symmetries)]
    assert images[0] == tuple(every.tolist())
    assert len(set(images)) == len(images)
    assert {tuple(second[cell] for cell in first) for first in images for second in images} == set(images)
    for symmetry, back in enumerate(inverse_symmetries(pair.game)):
        assert [images[back][cell] for cell in images[symmetry]] == every.tolist()


@st.composite
def boards(draw, pair):
    size = pair.game.board.size
    signs = draw(st.lists(st.sampled_from("FS.."), min_size=size, max_size=size))
    return "".join(signs), draw(st.integers(0, 1))


@given(st.data())
def test_turning_commutes_with_moves_endings_turns_and_holdings(data):
    pair = data.draw(twins.games(most_cells=9))
    game = pair.game
    board, turn = data.draw(boards(pair))
    symmetry = data.draw(st.integers(0, game.symmetries - 1))
    code = np.array([board_code(board, turn)], dtype=np.uint64)
    image = game.turned(symmetry, code)
    assert int(image[0]) == board_code(pair.naive.turned(pair.naive.turns[symmetry], board), turn)
    assert game.mover(image) == game.mover(code)
    assert game.ending(image) == game.ending(code)
    _, move, child = game.moves(code)
    turned_first = game.moves(image)
    pairs_before = set(
        zip(game.turned_move(symmetry, move).tolist(), game.turned(symmetry, child).tolist(), strict=True)
    )
    assert pairs_before == set(zip(turned_first.move.tolist(), turned_first.child.tolist(), strict=True))
    cells = np.arange(game.board.size, dtype=np.uint16)
    assert (
        game.why_not(np.repeat(code, len(cells)), cells).tolist()
        == game.why_not(np.repeat(image, len(cells)), game.turned_move(symmetry, cells)).tolist()
    )


@given(st.data())
def test_least_images_are_the_naive_ones_with_the_first_symmetry_that_gives_them(data):
    pair = data.draw(twins.games(most_cells=9))
    drawn = data.draw(st.lists(boards(pair), min_size=1, max_size=8))
    codes = np.array([board_code(*each) for each in drawn], dtype=np.uint64)
    least, by = least_images(pair.game, codes)
    for place, (board, turn) in enumerate(drawn):
        image, naive_turn = pair.naive.least_image(board)
        assert int(least[place]) == board_code(image, turn)
        assert pair.naive.turns[by[place]] == naive_turn


def test_the_largest_board_is_turned_cell_by_cell():
    pair = twins.twins_in_a_row(7, 4, 4)
    assert pair.game.symmetries == 4
    for symmetry, turn in enumerate(pair.naive.turns):
        for cell in range(28):
            for sign in "FS":
                board = naive.put("." * 28, cell, sign)
                image = pair.game.turned(symmetry, twins.one(board_code(board, 1)))
                assert int(image[0]) == board_code(pair.naive.turned(turn, board), 1)


def test_lines_that_are_not_symmetrical_leave_fewer_symmetries():
    assert twins.game_twins(3, 3, [[0, 1, 2]]).game.symmetries == 2
    assert twins.game_twins(3, 3, [[0, 1]]).game.symmetries == 1
    assert twins.game_twins(3, 3, [[0, 4, 8]]).game.symmetries == 4
    assert twins.twins_in_a_row(4, 3, 3).game.symmetries == 4
    assert twins.twins_in_a_row(4, 1, 2).game.symmetries == 2


@given(st.data())
def test_a_code_is_made_of_two_sets_of_cells_and_gives_them_back(data):
    pair = data.draw(twins.games(most_cells=9))
    board, turn = data.draw(boards(pair))
    held = [sum(1 << cell for cell, sign in enumerate(board) if sign == each) for each in "FS"]
    code = pair.game.code_of(*held, turn)
    assert code == board_code(board, turn)
    assert [int(cells[0]) for cells in pair.game.holdings(twins.one(code))] == held
    reasons = pair.game.why_not(
        np.full(len(board), code, dtype=np.uint64), np.arange(len(board), dtype=np.uint16)
    )
    assert [("." + "FS")[reason] for reason in reasons] == list(board)


GAME = 'kind = "game"\nfamily = "marks"\n'


def test_a_game_file_gives_lines_names_and_the_misere_rule():
    text = GAME + 'columns = 3\nrows = 1\ncells = ["x", "y", "z"]\nlines = [["x", "z"]]\nmisere = true\n'
    game = parse_game(text, "odd/three.toml")
    assert (game.name, game.move_names, game.lines, game.misere) == ("three", ("x", "y", "z"), (0b101,), True)
    assert any("loses" in sentence for sentence in game.rules)
    assert not any("loses" in sentence for sentence in twins.twins_in_a_row(3, 3, 3).game.rules)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("columns = 3\nrows = 3\nin-a-row = 4\n", "'in-a-row' should be a whole number from 2 to 3"),
        ("columns = 6\nrows = 5\nin-a-row = 4\n", "expected at most 28 cells"),
        ('columns = 2\nrows = 1\nlines = [["a1", "c1"]]\n', "there is no such cell"),
        ('columns = 2\nrows = 1\nlines = [["a1"]]\n', "expected two or more different cells"),
        ("columns = 2\nrows = 1\nlines = []\n", "expected at least one"),
        ('columns = 2\nrows = 1\nin-a-row = 2\nlines = [["a1", "b1"]]\n', "expected one of them"),
        ('columns = 2\nrows = 1\nin-a-row = 2\ncells = ["a"]\n', "'cells' names 1 cells; expected 2"),
        ('columns = 2\nrows = 1\nin-a-row = 2\ncells = ["a", "a"]\n', "names a cell twice"),
        ('columns = 2\nrows = 1\nin-a-row = 2\ncells = ["a", "A"]\n', "names a cell twice"),
        ('columns = 2\nrows = 1\nin-a-row = 2\ncells = ["a", "b!"]\n', "expected letters and digits only"),
        ('columns = 3\nrows = 1\nlines = [["a1", "b1"], ["b1", "a1"]]\n', "twice"),
        ("columns = 3\nrows = 3\nin-a-row = 3\nmiser = true\n", "did you mean 'misere'?"),
    ],
)
def test_a_faulty_game_file_is_told_what_is_wrong(text, said):
    with pytest.raises(BadInput) as caught:
        parse_game(GAME + text, "game.toml")
    assert said in str(caught.value)
