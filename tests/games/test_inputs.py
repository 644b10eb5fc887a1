"""Every byte string falls into exactly one class, and the classes said to be possible are just those."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.board import usual_names
from games.inputs import InputForm, Shape, class_in_words, classes_of, classify, possible_classes
from tests import naive, twins

NAMINGS = (
    (3, 3, ()),
    (4, 3, ()),
    (2, 2, ("a", "b", "c", "d")),
    (5, 2, tuple("0123456789")),
    (4, 1, ("1", "a", "2b", "x10")),
    (13, 2, tuple("abcdefghijklmnopqrstuvwxyz")),
    (3, 4, tuple(str(number) for number in range(1, 13))),
    (2, 1, ("NW", "SE")),
)
"""Boards with all kinds of cell names."""


def named_game(columns, rows, names):
    return twins.game_twins(columns, rows, [range(columns * rows)], names)


@st.composite
def asked(draw):
    """A game, how the machine reads, its seat, and a position (board, whether the game is over)."""
    pair = named_game(*draw(st.sampled_from(NAMINGS)))
    needed = max(map(len, pair.game.move_names))
    kind = draw(st.sampled_from(["line", "key"] if needed == 1 else ["line"]))
    house = naive.House(kind, draw(st.integers(needed, needed + 3)) if kind == "line" else 1)
    size = pair.game.board.size
    board = "".join(draw(st.lists(st.sampled_from("FS."), min_size=size, max_size=size)))
    return pair, house, draw(st.integers(0, 1)), board


def texts(pair):
    """Byte strings of every kind, many of them names or nearly so."""
    name = st.sampled_from(pair.game.move_names).map(str.encode)
    near = st.tuples(name, st.sampled_from([b"", b"0", b" ", b"\n", b"a", b"\xe9"])).map(b"".join)
    letters = st.text("0123456789abcxyzABCXYZ-", max_size=6).map(str.encode)
    return st.one_of(name, name.map(bytes.upper), near, letters, st.binary(max_size=10))


def shape_for(pair, house):
    return Shape(pair.game.move_names, InputForm(house.kind, house.longest))


def code_and_over(pair, board):
    size = len(board)
    code = sum(1 << cell for cell, sign in enumerate(board) if sign == "F")
    code |= sum(1 << size + cell for cell, sign in enumerate(board) if sign == "S")
    return code, pair.naive.result(board) is not None


@given(st.data())
def test_every_input_has_the_one_class_that_the_naive_model_gives_it(data):
    pair, house, seat, board = data.draw(asked())
    code, over = code_and_over(pair, board)
    shape = shape_for(pair, house)
    for drawn in data.draw(st.lists(texts(pair), min_size=1, max_size=20)):
        text = drawn[:1] or b"?" if house.kind == "key" else drawn
        found, move = classify(pair.game, shape, code, seat, text)
        assert found == naive.class_of(pair.naive, house, seat, board, over, text)
        assert found in (*classes_of(pair.game), "legal")
        assert (move is not None) == (found == "legal")
        if move is not None:
            assert pair.game.move_names[move].encode().lower() == text.lower()


@given(st.data())
def test_a_class_is_possible_just_where_some_real_input_falls_into_it(data):
    pair, house, seat, board = data.draw(asked())
    code, over = code_and_over(pair, board)
    if over:
        return
    possible = possible_classes(pair.game, shape_for(pair, house), np.array([code], dtype=np.uint64), seat)
    assert set(possible) == set(classes_of(pair.game))
    found = {name for name, where in possible.items() if where[0]}
    assert found == naive.possible_classes(pair.naive, house, seat, board) - {"legal"}


@pytest.mark.parametrize(("kind", "longest"), [("line", 2), ("key", 1)])
def test_all_inputs_of_up_to_two_bytes_one_by_one(kind, longest):
    """Nothing sampled: every byte string of up to two bytes, in a position with both marks."""
    pair, house = twins.twins_in_a_row(3, 3, 3), naive.House(kind, longest)
    board = "F...S...."
    code, _ = code_and_over(pair, board)
    shape = shape_for(pair, house)
    lengths = (1,) if kind == "key" else (0, 1, 2)
    found = set()
    # The class depends on what kind of byte stands where, so the naive model is asked once for each kind.
    kinds = {
        byte: b"0" if byte == 48 else b"x" if chr(byte) in twins.LETTERS else b"?" for byte in range(256)
    }
    kinds |= {byte: bytes([byte]) for byte in b"123456789"}
    known = {}
    for text in (bytes(each) for length in lengths for each in product(range(256), repeat=length)):
        like = b"".join(kinds[byte] for byte in text)
        if like not in known:
            known[like] = naive.class_of(pair.naive, house, 0, board, False, like)
        got = classify(pair.game, shape, code, 0, text)[0]
        assert got == known[like], text
        found.add(got)
    possible = possible_classes(pair.game, shape, np.array([code], dtype=np.uint64), 0)
    too_long = {"too-long"} if kind == "line" else set()  # with lines of up to two bytes it needs a third
    assert found | too_long == {name for name, where in possible.items() if where[0]} | {"legal"}


def test_a_key_is_never_empty_nor_too_long_and_return_is_not_understood():
    pair, house = twins.twins_in_a_row(3, 3, 3), naive.House("key", 1)
    shape = shape_for(pair, house)
    assert classify(pair.game, shape, 0, 1, b"\r")[0] == "not-understood"
    assert classify(pair.game, shape, 0, 1, b"\n")[0] == "not-understood"
    possible = possible_classes(pair.game, shape, np.zeros(1, dtype=np.uint64), 1)
    assert not possible["empty"][0]
    assert not possible["too-long"][0]
    assert not possible["after-end"][0]


@pytest.mark.parametrize(
    ("names", "longest", "kind", "example"),
    [
        (usual_names(3, 3), 1, "line", b"0"),
        (usual_names(4, 3), 2, "line", b"a0"),
        (tuple("0123456789"), 1, "key", None),
        (tuple("0123456789"), 1, "line", None),
        (tuple("0123456789"), 2, "line", b"00"),
        (tuple("abcdefghijklmnopqrstuvwxyz"), 8, "line", None),
        (("NW", "SE"), 2, "line", b"aa"),
    ],
)
def test_the_first_input_off_the_board(names, longest, kind, example):
    shape = Shape(names, InputForm(kind, longest))
    assert shape.off_board_example() == example
    assert shape.has_off_board() == (example is not None)


def test_classes_are_said_as_people_say_them():
    """As in the transcripts of docs/drill.md; a family's own class is said by its name."""
    said = {
        "after-end": "a move after the end",
        "too-long": "too many characters",
        "empty": "nothing at all",
        "not-understood": "not understood",
        "off-board": "off the board",
        "taken-by-machine": "taken by the machine",
        "taken-by-visitor": "taken by the visitor",
        "legal": "a legal move",
        "no-such-step": "no such step",
    }
    assert {name: class_in_words(name) for name in said} == said
    assert set(classes_of(twins.twins_in_a_row(3, 3, 3).game)) < set(said)
