"""Marks of nobody's own against a plain model on strings: an X or an O as one likes, or the same X for both."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.board import Board
from games.codes import RESULTS
from games.game import inverse_symmetries, on_board, with_lines
from games.house import load_house_rules
from games.housed import HousedGame
from games.inputs import LEGAL, classes_of, classify
from games.load import parse_game
from games.marks.shared import SharedMarks
from games.problems import BadInput
from solver.graph import explore
from solver.sheet.reader import SheetReader
from solver.values import best_play
from tests import naive, twins


class Plain:
    """The same game on strings: a position is a sign for each cell (``.`` free) and whose turn it is."""

    def __init__(self, lines, size, signs, misere):
        self.lines, self.signs, self.misere = lines, signs, misere
        self.start = ("." * size, 0)
        self.value = cache(self._value)

    def moves(self, position):
        """Each move as (cell, sign), and the position after it."""
        board, turn = position
        free = [cell for cell, found in enumerate(board) if found == "."]
        return {
            (cell, sign): (board[:cell] + sign + board[cell + 1 :], 1 - turn)
            for cell in free
            for sign in self.signs
        }

    def result(self, position):
        board, turn = position
        for line in self.lines:
            found = {board[cell] for cell in line}
            if len(found) == 1 and found != {"."}:
                just_moved = 1 - turn
                return ("first", "second")[just_moved != self.misere]
        return None if "." in board else "draw"

    def _value(self, position):
        """The result of best play, by plain recursion."""
        result = self.result(position)
        if result is not None:
            return result
        after = {self.value(child) for child in self.moves(position).values()}
        own, other = ("first", "second") if position[1] == 0 else ("second", "first")
        return own if own in after else "draw" if "draw" in after else other


@st.composite
def shared_games(draw, most_cells=6):
    """A small game on any board with any lines, and the same on strings."""
    columns = draw(st.integers(1, 3))
    rows = draw(st.integers(1, max(1, most_cells // columns)))
    squares = columns * rows
    holes = draw(st.just(()) | st.sets(st.integers(0, squares - 1), max_size=squares - 1).map(sorted))
    board = Board(columns, rows, (), holes)
    lines = draw(twins.lines_of_its_own(board.size))
    signs, misere = draw(st.sampled_from(["XO", "X"])), draw(st.booleans())
    return SharedMarks("drawn", board, lines, signs, misere=misere), Plain(lines, board.size, signs, misere)


def three_in_a_row(signs, *, misere=False):
    lines = naive.in_a_row(3, 3, 3)
    return SharedMarks("three", Board(3, 3), lines, signs, misere=misere), Plain(lines, 9, signs, misere)


def code_of(game, position):
    board, turn = position
    bits = [
        place * len(board) + cell
        for place, sign in enumerate(game.signs)
        for cell, found in enumerate(board)
        if found == sign
    ]
    return sum(1 << bit for bit in bits) | turn << 63


def positions_of(plain, follow):
    found = waiting = [plain.start]
    while waiting:
        children = {child for each in waiting if plain.result(each) is None for child in follow(each)}
        waiting = sorted(children - set(found))
        found = found + waiting
    return found


def move_named(game, cell, sign):
    name = game.board.names[cell]
    return game.move_names.index(sign.lower() + name if len(game.signs) > 1 else name)


@given(shared_games())
def test_positions_moves_endings_and_values_are_the_plain_ones(both):
    game, plain = both
    graph = explore(game)
    values = best_play(graph)
    codes = {code_of(game, each): each for each in positions_of(plain, lambda at: plain.moves(at).values())}
    assert graph.codes.tolist() == sorted(codes)
    for place, code in enumerate(graph.codes.tolist()):
        position = codes[code]
        result = plain.result(position)
        assert RESULTS[graph.ending[place]] == (result or "unfinished")
        assert graph.mover[place] == position[1]
        assert RESULTS[values.value[place]] == plain.value(position)
        found = {int(graph.move[e]): int(graph.codes[graph.child[e]]) for e in graph.edges_of(place)}
        moves = {} if result else plain.moves(position)
        assert found == {move_named(game, *move): code_of(game, child) for move, child in moves.items()}


@given(shared_games(), st.integers(0, 1))
def test_a_lost_turn_is_one_more_move_where_some_cell_is_taken(both, seat):
    game, plain = both
    housed = HousedGame(game, twins.house_twins(game, [(["taken"], "turn", 0)]).rules, seat)

    def follow(position):
        board, turn = position
        is_taken = set(board) != {"."}
        lost = [(board, 1 - turn)] if turn != seat and is_taken else []
        return [*plain.moves(position).values(), *lost]

    wanted = {code_of(game, each) for each in positions_of(plain, follow)}
    assert explore(housed).codes.tolist() == sorted(wanted)


@given(shared_games())
def test_symmetries_are_a_group_that_keeps_the_game(both):
    game, _ = both
    graph = explore(game)
    open_ = graph.codes[graph.ending == 0]
    moves = np.arange(len(game.move_names), dtype=np.uint16)
    images = [tuple(game.turned_move(s, moves).tolist()) for s in range(game.symmetries)]
    assert images[0] == tuple(moves.tolist())
    assert {tuple(b[move] for move in a) for a in images for b in images} == set(images)
    for symmetry, back in enumerate(inverse_symmetries(game)):
        turned = game.turned(symmetry, graph.codes)
        assert np.array_equal(np.sort(turned), graph.codes)
        assert np.array_equal(game.turned(back, turned), graph.codes)
        assert np.array_equal(game.ending(turned), graph.ending)
        assert np.array_equal(game.mover(turned), graph.mover)
        before, after = game.moves(open_), game.moves(game.turned(symmetry, open_))
        carried = game.turned_move(symmetry, before.move), game.turned(symmetry, before.child)
        assert set(zip(before.parent.tolist(), *(each.tolist() for each in carried), strict=True)) == set(
            zip(*(each.tolist() for each in after), strict=True)
        )


@given(shared_games(), st.data())
def test_a_move_is_legal_just_where_the_cell_is_free(both, data):
    game, plain = both
    position = data.draw(st.sampled_from(positions_of(plain, lambda at: plain.moves(at).values())))
    moves = np.arange(len(game.move_names), dtype=np.uint16)
    reasons = game.why_not(np.full(len(moves), code_of(game, position), dtype=np.uint64), moves)
    legal = {move_named(game, *move) for move in plain.moves(position)}
    assert {move for move, reason in enumerate(reasons.tolist()) if not reason} == legal
    assert set(reasons.tolist()) <= {0, 1}


@given(shared_games(), st.data())
def test_a_position_is_read_back_from_its_text(both, data):
    game, plain = both
    position = data.draw(st.sampled_from(positions_of(plain, lambda at: plain.moves(at).values())))
    code, seat = code_of(game, position), data.draw(st.integers(0, 1))
    [text] = game.texts(twins.one(code), seat)
    assert text.replace("/", "").replace(".", "") == position[0].replace(".", "_")
    assert game.read(text, seat, position[1]) == code


def test_texts_and_drawings_show_the_marks_themselves():
    game, _ = three_in_a_row("XO")
    code = game.read("X__/_O_/___", 0, 0)
    assert game.texts(twins.one(code), 1) == ["X__/_O_/___"]
    assert game.drawing(code, 0, game.move_names.index("o5")) == [" X  _  _ ", " _ (O) _ ", " _  _  _ "]
    assert game.drawing(code, 0, named=True)[::2] == ["X | 2 | 3", "4 | O | 6", "7 | 8 | 9"]
    with pytest.raises(ValueError, match="'M' is no sign of a board; expected X, O or _"):
        game.read("M__/___/___", 0, 0)
    with pytest.raises(ValueError, match="'O' is no sign of a board; expected X or _"):
        three_in_a_row("X")[0].read("O__/___/___", 0, 0)


def test_moves_are_named_in_the_order_of_the_cells():
    assert three_in_a_row("XO")[0].move_names[:5] == ("x1", "o1", "x2", "o2", "x3")
    assert three_in_a_row("X")[0].move_names == tuple("123456789")


def test_the_signs_can_be_exchanged_where_there_are_two():
    game, _ = three_in_a_row("XO")
    assert game.symmetries == 16
    code = game.read("XO_/___/___", 0, 0)
    assert game.texts(game.turned(8, twins.one(code)), 0) == ["OX_/___/___"]
    assert three_in_a_row("X")[0].symmetries == 8


def test_a_taken_cell_has_a_class_of_its_own():
    game, _ = three_in_a_row("XO")
    assert "taken" in classes_of(game)
    housed = HousedGame(game, load_house_rules("usual", game), 1)
    code = game.read("X__/___/___", 1, 0)
    classes = [classify(game, housed.shape, code, 1, text)[0] for text in (b"x1", b"O1", b"o2", b"x0", b"1")]
    assert classes == ["taken", "taken", LEGAL, "off-board", "not-understood"]


def test_nobody_holds_a_cell_and_a_sheet_may_only_look_ahead():
    game, _ = three_in_a_row("XO")
    assert on_board(game) is None
    assert with_lines(game) is None
    with pytest.raises(BadInput, match="no game of marks and lines"):
        SheetReader("drawn.rules", ["complete a line"], game).read(0)
    [rule] = SheetReader("drawn.rules", ["look ahead 3 plies"], game).read(0)
    assert rule.meaning.plies == 3


GAME = 'kind = "game"\nfamily = "marks"\ncolumns = 3\nrows = 3\nin-a-row = 3\n'


@pytest.mark.parametrize(("whose", "signs"), [("either", "XO"), ("same", "X")])
def test_a_game_file_says_whose_the_marks_are(whose, signs):
    game = parse_game(GAME + f'marks = "{whose}"\nholes = ["5"]\nmisere = true\n', "shared.toml")
    assert isinstance(game, SharedMarks)
    assert (game.name, game.signs, game.misere, game.board.size) == ("shared", signs, True, 8)
    said = " ".join(game.rules)
    assert "loses" in said
    assert ("an X or an O" in said) == (signs == "XO")
    assert "Lines: 1-2-3, " in said


def test_the_cells_of_each_line_are_told():
    game = SharedMarks("drawn", Board(3, 1), [(0, 1), (2, 1)], "XO")
    assert game.cells_in_lines == [(0, 1), (1, 2)]
