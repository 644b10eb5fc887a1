"""Positions of games that fill up as people read, type and see them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.inputs import InputForm, Shape
from solver.graph import explore
from tests import naive_fill as naive
from tests.fill_twins import game_of, games, one


@given(games(), st.integers(0, 1))
def test_texts_read_back(pair, seat):
    game = pair.game
    graph = explore(game)
    texts = game.texts(graph.codes, seat)
    read = [game.read(text, seat, mover) for text, mover in zip(texts, graph.mover.tolist(), strict=True)]
    assert read == graph.codes.tolist()


@pytest.mark.parametrize(
    ("play", "text", "said"),
    [
        ("dominoes", "../..", "expected signs arranged as in .../... , not '../..'"),
        ("dominoes", "..#/...", "no dominoes can cover just the cells marked '#' in '..#/...'"),
        ("dominoes", "#.#/...", "no dominoes can cover just the cells marked '#' in '#.#/...'"),
        ("dominoes", ".M./...", "'M' is no sign of this board; expected # or ."),
        ("dominoes", ".x./...", "expected 'x' in the holes only, as in .../... , not '.x./...'"),
        ("chomp", "###", "expected signs arranged as in ###/### , not '###'"),
        ("chomp", "#../##.", "in '#../##.' something is left below what is eaten, and that cannot be"),
        ("chomp", ".##/...", "expected rows of some # and then some . , not '.##'"),
        ("chomp", "#x./...", "expected rows of some # and then some . , not '#x.'"),
        ("boxes", "...", "expected signs arranged as in .../..../.../..../... , not '...'"),
        ("boxes", ".../..../.../..../..-", "'-' is no sign of this board; expected # or ."),
        (
            "boxes",
            ".../..../.../..../..x",
            "expected 'x' in the holes only, as in .../..../.../..../... , not '.../..../.../..../..x'",
        ),
        ("hex", "#__/___", "'#' is no sign of a board; expected M, V or _"),
    ],
)
def test_a_text_that_is_no_position_is_refused(play, text, said):
    with pytest.raises(ValueError) as caught:
        game_of(play, 3, 2).read(text, 0, 0)
    assert str(caught.value) == said


def after(game, *names):
    """The position after these moves, and the last of them."""
    codes, move = one(game.start), None
    for name in names:
        _, moves, children = game.moves(codes)
        move = game.move_names.index(name)
        codes = children[moves == move]
    return int(codes[0]), move


DRAWINGS = {
    "dominoes": (
        (3, 3, {"holes": ["9"]}),
        ("1-4", "5-6"),
        [" #  .  .", " # (#)(#)", " .  ."],
        ["# | 2 | 3", "--+---+--", "# | # | #", "--+---+--", "7 | 8 |"],
    ),
    "chomp": (
        (3, 2, {}),
        ("b2",),
        [" #  #  #", " # (.) ."],
        ["a1 | b1 | c1", "---+----+---", "a2 | .  | ."],
    ),
    "boxes": (
        (2, 1, {"drawn": ["a1-b1", "a1-a2", "a2-b2"]}),
        ("b1-b2", "c1-c2"),
        [" +---+   +", " | # |  (|)", " +---+   +"],
        ["    a   b   c", " 1  +---+   +", "    | # |   |", " 2  +---+   +"],
    ),
    "hex": (
        (3, 2, {}),
        ("a1", "b2"),
        ["  m   m   m", "v M   _   _  v", "  v _  (V)  _  v", "    m   m   m"],
        ["  m   m   m", "v M   b1  c1 v", "  v a2  V   c2 v", "    m   m   m"],
    ),
}


@pytest.mark.parametrize("play", DRAWINGS)
def test_drawings(play):
    (columns, rows, keys), moves, plain, named = DRAWINGS[play]
    game = game_of(play, columns, rows, **keys)
    code, last = after(game, *moves)
    assert game.drawing(code, 0, last) == plain
    assert game.drawing(code, 0, named=True) == named


def test_the_other_seat_sees_the_sides_of_the_rhombus_exchanged():
    game = game_of("hex", 2, 2)
    code, last = after(game, "a2")
    assert game.drawing(code, 1, last) == ["  v   v", "m _   _  m", "  m(V)  _  m", "    v   v"]


@given(games())
def test_drawings_differ_where_positions_do_and_are_plain_ascii(pair):
    game = pair.game
    graph = explore(game)
    boards = {}
    for code in graph.codes.tolist():
        for named in (False, True):
            rows = game.drawing(code, 0, named=named)
            assert all(row.isascii() and row == row.rstrip() for row in rows)
            boards.setdefault((named, tuple(rows)), set()).add(game.texts(one(code), 0)[0])
    assert all(len(texts) == 1 for texts in boards.values())


@pytest.mark.parametrize(
    ("play", "columns", "rows"),
    [
        ("dominoes", 26, 2),
        ("dominoes", 5, 11),
        ("chomp", 26, 2),
        ("chomp", 19, 10),
        ("boxes", 18, 1),
        ("hex", 18, 1),
    ],
)
def test_wide_boards_keep_to_80_columns(play, columns, rows):
    game = game_of(play, columns, rows)
    assert max(len(row) for named in (False, True) for row in game.drawing(game.start, 0, named=named)) <= 78


@given(games())
def test_the_rules_are_sentences_that_name_what_the_options_change(pair):
    rules = " ".join(pair.game.rules)
    assert all(sentence.endswith(".") for sentence in pair.game.rules)
    if hasattr(pair.model, "misere"):
        joined_loses = isinstance(pair.model, naive.Hex) == pair.model.misere
        assert ("loses" in rules, "wins" in rules) == (joined_loses, not joined_loses)


def test_an_input_off_the_board_is_found_at_once_where_names_are_long():
    """All inputs up to the length of a name are 10 million here."""
    assert Shape(game_of("dominoes", 2, 11).move_names, InputForm()).off_board_example() == b"a0-a0"
