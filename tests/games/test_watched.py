"""Whatever a game answers in another type, shape or number is told, with the function that did so."""

from types import SimpleNamespace

import numpy as np
import pytest

from games.own.faults import Fault
from games.own.watched import Unlawful, Watched
from tests.games.lamps import codes

ASKED = codes(1, 2)
MOVES = np.array([0, 1], dtype=np.uint16)
RIGHT = {
    "mover": np.array([0, 1], dtype=np.uint8),
    "ending": np.array([0, 3], dtype=np.uint8),
    "turned": codes(2, 1),
    "turned_move": np.array([1, 0], dtype=np.uint16),
    "why_not": np.array([0, 2], dtype=np.uint8),
    "gains": np.array([-1, 1], dtype=np.int8),
}
"""Functions that give one array, and an answer of the right type for two positions."""
QUESTIONS = {
    "mover": (ASKED,),
    "ending": (ASKED,),
    "turned": (1, ASKED),
    "turned_move": (1, MOVES),
    "why_not": (ASKED, MOVES),
    "gains": (ASKED, MOVES),
    "holdings": (ASKED,),
    "texts": (ASKED, 0),
    "moves": (ASKED,),
}
COLUMNS = (np.array([0, 1]), MOVES, codes(3, 3))
"""A move of each position."""


def asked(function, answer):
    """What comes of a question to a game whose function gives this answer."""

    def give(*arguments):
        assert [*map(id, arguments)] == [*map(id, QUESTIONS[function])], "the question is handed on as it is"
        return answer

    game = SimpleNamespace(move_names=("left", "right"), bits=2, **{function: give})
    return getattr(Watched(game), function)(*QUESTIONS[function])


def fault(function, answer):
    with pytest.raises(Unlawful) as caught:
        asked(function, answer)
    assert str(caught.value) == caught.value.fault.message
    return caught.value.fault


@pytest.mark.parametrize("function", list(RIGHT))
def test_an_array_of_another_type_shape_or_length_is_told(function):
    right = RIGHT[function]
    assert asked(function, right) is right
    wanted = f"expected an array of {right.dtype} of shape (2,)"
    for wrong, found in (
        (right.astype(np.float64), "float64 of shape (2,)"),
        (right[:1], f"{right.dtype} of shape (1,)"),
        (right[:, None], f"{right.dtype} of shape (2, 1)"),
        (right.tolist(), "list"),
        (None, "NoneType"),
    ):
        assert fault(function, wrong) == Fault(function, f"gives {found}; {wanted}")


@pytest.mark.parametrize("column", range(3))
def test_each_column_of_moves_has_its_type_and_all_have_one_length(column):
    right = COLUMNS[column].dtype
    found = asked("moves", COLUMNS)
    assert all(mine is given for mine, given in zip(found, COLUMNS, strict=True))
    wrong = [*COLUMNS]
    wrong[column] = COLUMNS[column].astype(np.float64)
    said = f"gives float64 of shape (2,); expected an array of {right} of shape (2,)"
    assert fault("moves", tuple(wrong)) == Fault("moves", said)
    wrong[column] = COLUMNS[column][:1]
    odd, length = (column, 2) if column else (1, 1)  # the first column says how many moves there are
    found = f"{COLUMNS[odd].dtype} of shape ({3 - length},)"
    said = f"gives {found}; expected an array of {COLUMNS[odd].dtype} of shape ({length},)"
    assert fault("moves", tuple(wrong)) == Fault("moves", said)


def test_moves_are_three_columns():
    for wrong in (COLUMNS[:2], (*COLUMNS, COLUMNS[0]), list(COLUMNS), None):
        assert fault("moves", wrong) == Fault("moves", "expected three arrays: parent, move, child")


def test_moves_that_cannot_be_are_told():
    beyond = (COLUMNS[0], MOVES, codes(3, 4))
    said = "right leads to 0x4; expected a code in bits 0 to 1, and 63 for the turn"
    assert fault("moves", beyond) == Fault("moves", said, 2)
    said = "gives 2 as a parent; expected a place from 0 to 1 in the array of codes"
    assert fault("moves", (COLUMNS[0] + 1, *COLUMNS[1:])) == Fault("moves", said)
    said = "gives -1 as a parent; expected a place from 0 to 1 in the array of codes"
    assert fault("moves", (COLUMNS[0] - 1, *COLUMNS[1:])) == Fault("moves", said)
    said = "gives move 2; expected 0 to 1, since there are 2 names"
    assert fault("moves", (COLUMNS[0], MOVES + np.uint16(1), COLUMNS[2])) == Fault("moves", said, 2)
    said = "a position without moves that is not over; expected a move, or an ending"
    assert fault("moves", (COLUMNS[0] * 0, *COLUMNS[1:])) == Fault("moves", said, 2)


def test_players_and_endings_are_small_numbers():
    for function, most in (("mover", 1), ("ending", 3)):
        asked(function, np.array([0, most], dtype=np.uint8))
        wrong = np.array([most, most + 1], dtype=np.uint8)
        assert fault(function, wrong) == Fault(function, f"gives {most + 1}; expected 0 to {most}", 2)


def test_holdings_are_two_sets_for_each_position():
    first, second = asked("holdings", (codes(1, 0), codes(0, 2)))
    assert (first.tolist(), second.tolist()) == ([1, 0], [0, 2])
    said = "gives uint64 of shape (1,); expected an array of uint64 of shape (2,)"
    assert fault("holdings", (codes(1, 0), codes(0))) == Fault("holdings", said)


def test_texts_are_one_for_each_position():
    assert asked("texts", ["one", "two"]) == ["one", "two"]
    for wrong in (["one"], ("one", "two"), "ab"):
        assert fault("texts", wrong) == Fault("texts", "expected a list of 2 texts")


@pytest.mark.parametrize("function", list(QUESTIONS))
def test_a_question_is_not_to_be_changed(function):
    def changing(*arguments):
        for argument in arguments:
            if isinstance(argument, np.ndarray):
                argument[:] = argument[::-1].copy()

    own = tuple(each.copy() if isinstance(each, np.ndarray) else each for each in QUESTIONS[function])
    with pytest.raises(Unlawful) as caught:
        getattr(Watched(SimpleNamespace(**{function: changing})), function)(*own)
    said = "changes the array that it is given; expected work on a copy"
    assert caught.value.fault == Fault(function, said)


def test_what_a_game_does_not_have_is_not_asked():
    bare = Watched(SimpleNamespace())
    assert bare.gains(ASKED, MOVES) is None
    assert bare.holdings(ASKED) is None
