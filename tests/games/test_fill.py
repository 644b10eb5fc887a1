"""Games on boards that fill up, against the slow, obvious models: rules, symmetries, texts, lost turns."""

from math import factorial
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.bitsets import Images, members_of
from games.codes import RESULTS, TURN
from games.game import Game, inverse_symmetries, on_board, scored, with_lines
from games.house import parse_house_rules
from games.housed import HousedGame
from games.inputs import InputForm, Shape, classes_of
from games.load import load_game, parse_game
from games.problems import BadInput
from solver.graph import explore
from solver.scores import differences, solve_scores
from solver.values import best_play
from tests import naive_fill as naive

GAME = 'kind = "game"\nfamily = "fill"\n'


class Twins(NamedTuple):
    """A game and its naive model."""

    game: Game
    model: object


def game_of(play, columns, rows, **keys):
    text = GAME + f'play = "{play}"\ncolumns = {columns}\nrows = {rows}\n'
    written = {True: "true", False: "false"}
    text += "".join(f"{key} = {written.get(value, value) if isinstance(value, bool) else list(value)}\n"
                    for key, value in keys.items()).replace("'", '"')  # fmt: skip
    return parse_game(text, "drawn.toml")


def small_rectangles(most):
    sizes = [(columns, rows) for columns in range(1, 6) for rows in range(1, 6) if columns * rows <= most]
    return st.sampled_from(sizes)


@st.composite
def dominoes(draw):
    columns, rows = draw(small_rectangles(9).filter(lambda size: size[1] > 1))
    holes = draw(st.lists(st.sampled_from(naive.rectangle(columns, rows)), max_size=3, unique=True))
    misere = draw(st.booleans())
    model = naive.Dominoes(columns, rows, holes, misere)
    if all(way == 1 for way, _ in model.dominoes.values()):  # nothing to begin with
        model = naive.Dominoes(columns, rows, (), misere)
        holes = []
    names = [naive.cell_name(columns, rows, cell) for cell in holes]
    return Twins(game_of("dominoes", columns, rows, holes=names, misere=misere), model)


@st.composite
def chomps(draw):
    columns, rows = draw(small_rectangles(16))
    return Twins(game_of("chomp", columns, rows), naive.Chomp(columns, rows))


@st.composite
def boxes(draw):
    columns, rows = draw(small_rectangles(3))
    names = naive.Boxes(columns, rows).names
    drawn = draw(st.lists(st.sampled_from(names), max_size=min(4, len(names) - 1), unique=True))
    return Twins(game_of("boxes", columns, rows, drawn=drawn), naive.Boxes(columns, rows, drawn))


@st.composite
def hexes(draw):
    columns, rows = draw(small_rectangles(6))
    misere = draw(st.booleans())
    return Twins(game_of("hex", columns, rows, misere=misere), naive.Hex(columns, rows, misere))


def games():
    return dominoes() | chomps() | boxes() | hexes()


def one(code):
    return np.array([code], dtype=np.uint64)


def keys_of(game, codes):
    """What tells positions apart: their texts, and whose turn it is."""
    return list(zip(game.texts(codes, 0), game.mover(codes).tolist(), strict=True))


def key(model, state):
    return model.text(state), state[1]


# The rules ------------------------------------------------------------------------------------------------


@given(games())
def test_positions_moves_and_endings_are_the_naive_ones(pair):
    game, model = pair
    for start, turn in ((game.start, 0), (game.other_start, 1)):
        if start is not None:
            graph = explore(game, start=start)
            keys = keys_of(game, graph.codes)
            states = {key(model, state): state for state in naive.LostTurns(model).reached(turn)}
            assert sorted(keys) == sorted(states)
            for place, at in enumerate(keys):
                state = states[at]
                assert RESULTS[graph.ending[place]] == model.result(state) or not model.result(state)
                found = [
                    (game.move_names[graph.move[edge]], keys[graph.child[edge]])
                    for edge in graph.edges_of(place)
                ]
                fair = naive.LostTurns(model).moves(state)
                assert found == [(name, key(model, after)) for name, (after, _) in fair.items()]


@given(games())
def test_moves_are_named_in_the_order_of_the_board(pair):
    assert list(pair.game.move_names) == pair.model.names


@given(games())
def test_moves_come_sorted_and_asking_of_many_positions_is_asking_of_each(pair):
    graph = explore(pair.game)
    codes = graph.codes[graph.ending == 0]
    parent, move, child = pair.game.moves(codes)
    assert (np.diff(parent.astype(np.int64) << 16 | move) > 0).all()
    for place in range(0, len(codes), 7):
        _, own_move, own_child = pair.game.moves(codes[place : place + 1])
        assert np.array_equal(own_move, move[parent == place])
        assert np.array_equal(own_child, child[parent == place])


@given(games())
def test_why_not_gives_the_naive_reasons_and_lets_just_the_legal_moves_pass(pair):
    game, model = pair
    states = {key(model, state): state for state in naive.LostTurns(model).reached()}
    graph = explore(game)
    moves = np.arange(len(game.move_names), dtype=np.uint16)
    for code, at in zip(graph.codes, keys_of(game, graph.codes), strict=True):
        reasons = game.why_not(np.repeat(code, len(moves)), moves)
        wanted = [model.refusal(states[at], name) for name in game.move_names]
        assert [game.refusals[reason - 1] if reason else None for reason in reasons] == wanted


@given(boxes())
def test_boxes_gain_what_the_naive_model_counts(pair):
    game, model = pair
    states = {key(model, state): state for state in naive.LostTurns(model).reached()}
    graph = explore(game)
    gains = game.gains(graph.codes[graph.parent], graph.move)
    keys = keys_of(game, graph.codes)
    for edge, gain in enumerate(gains.tolist()):
        after = model.moves(states[keys[graph.parent[edge]]])
        assert gain == after[game.move_names[graph.move[edge]]][1]


@given(st.integers(1, 5), st.integers(1, 5), st.data())
def test_a_full_rhombus_joins_the_sides_of_just_one_player(columns, rows, data):
    """The theorem behind the rule that there are no draws."""
    game = game_of("hex", columns, rows)
    every = (1 << columns * rows) - 1
    first = data.draw(st.integers(0, every))
    full = one(game.code_of(first, every ^ first, 0))
    assert RESULTS[game.ending(full)[0]] in ("first", "second")
    halves = one(game.code_of(first, 0, 0)), one(game.code_of(0, every ^ first, 0))
    assert [RESULTS[game.ending(half)[0]] != "unfinished" for half in halves].count(True) == 1


def test_what_a_game_offers_is_told_by_what_it_has():
    dominoes, chomp, boxes, hex_ = (
        load_game(name)
        for name in ("domineering-four", "chomp-four-by-three", "boxes-two-by-two", "hex-three")
    )
    assert [scored(game) is None for game in (dominoes, chomp, boxes, hex_)] == [True, True, False, True]
    assert [on_board(game) is None for game in (dominoes, chomp, boxes, hex_)] == [True, True, True, False]
    assert all(with_lines(game) is None for game in (dominoes, chomp, boxes, hex_))


def test_both_starts_are_given_where_it_matters_who_begins():
    assert game_of("dominoes", 3, 2, holes=["a1"]).other_start == 1 | int(TURN)
    assert game_of("hex", 3, 2).other_start == int(TURN)
    assert [game_of(*size).other_start for size in (("hex", 3, 3), ("chomp", 3, 2), ("boxes", 3, 2))] == [
        None
    ] * 3


# Symmetries -----------------------------------------------------------------------------------------------


@given(games())
def test_symmetries_are_a_group_with_the_identity_first(pair):
    every = np.arange(len(pair.game.move_names), dtype=np.uint16)
    images = [tuple(pair.game.turned_move(s, every).tolist()) for s in range(pair.game.symmetries)]
    assert images[0] == tuple(every.tolist())
    assert len(set(images)) == len(images)
    assert {tuple(second[move] for move in first) for first in images for second in images} == set(images)
    for symmetry, back in enumerate(inverse_symmetries(pair.game)):
        assert [images[back][move] for move in images[symmetry]] == every.tolist()


@given(games())
def test_turning_keeps_positions_turns_endings_moves_and_gains(pair):
    game = pair.game
    graph = explore(game)
    for symmetry in range(game.symmetries):
        image = game.turned(symmetry, graph.codes)
        at = graph.places(image)
        assert at[graph.start] == graph.start
        assert len(set(at.tolist())) == len(graph)
        assert np.array_equal(graph.mover[at], graph.mover)
        assert np.array_equal(graph.ending[at], graph.ending)
        moves = set(zip(graph.parent.tolist(), graph.move.tolist(), graph.child.tolist(), strict=True))
        turned = game.turned_move(symmetry, graph.move)
        assert moves == set(
            zip(at[graph.parent].tolist(), turned.tolist(), at[graph.child].tolist(), strict=True)
        )
        if scored(game):
            before = game.gains(graph.codes[graph.parent], graph.move)
            assert np.array_equal(game.gains(image[graph.parent], turned), before)


@pytest.mark.parametrize(
    ("play", "columns", "rows", "keys", "symmetries"),
    [
        ("dominoes", 4, 4, {}, 4),
        ("dominoes", 4, 3, {}, 4),
        ("dominoes", 4, 4, {"holes": ["a1"]}, 1),
        ("dominoes", 4, 4, {"holes": ["a1", "a4"]}, 2),
        ("dominoes", 3, 3, {"holes": ["5"]}, 4),
        ("dominoes", 1, 3, {}, 2),
        ("dominoes", 1, 7, {"holes": ["a2", "a6", "a7"]}, 1),  # the dominoes lie evenly, the holes do not
        (
            "dominoes",
            3,
            2,
            {"holes": ["a1", "c1", "a2", "c2"]},
            1,
        ),  # left and right exchanged is nothing at all
        ("chomp", 4, 4, {}, 2),
        ("chomp", 4, 3, {}, 1),
        ("chomp", 1, 1, {}, 1),
        ("boxes", 2, 2, {}, 8),
        ("boxes", 1, 1, {}, 8),
        ("boxes", 3, 1, {}, 4),
        ("boxes", 2, 2, {"drawn": ["a1-b1"]}, 1),
        ("boxes", 1, 1, {"drawn": ["a1-b1"]}, 2),
        ("hex", 3, 3, {}, 2),
        ("hex", 3, 2, {}, 2),
        ("hex", 1, 1, {}, 1),
    ],
)
def test_how_many_symmetries_there_are(play, columns, rows, keys, symmetries):
    assert game_of(play, columns, rows, **keys).symmetries == symmetries


# Texts and drawings ---------------------------------------------------------------------------------------


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
        ("dominoes", "../..", "expected signs arranged as in .../..."),
        ("dominoes", "..#/...", "no dominoes can cover just"),
        ("dominoes", "#.#/...", "no dominoes can cover just"),
        ("dominoes", ".M./...", "'M' is no sign of this board; expected # or ."),
        ("dominoes", ".x./...", "expected 'x' in the holes only"),
        ("chomp", "###", "expected signs arranged as in ###/###"),
        ("chomp", "#../##.", "something is left below what is eaten"),
        ("chomp", ".##/...", "expected rows of some # and then some ."),
        ("chomp", "#x./...", "expected rows of some # and then some ."),
        ("boxes", "...", "expected signs arranged as in .../..../.../..../..."),
        ("boxes", ".../..../.../..../..-", "'-' is no sign"),
        ("boxes", ".../..../.../..../..x", "expected 'x' in the holes only"),
        ("hex", "#__/___", "'#' is no sign of a board"),
    ],
)
def test_a_text_that_is_no_position_is_refused(play, text, said):
    with pytest.raises(ValueError) as caught:
        game_of(play, 3, 2).read(text, 0, 0)
    assert said in str(caught.value)


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


# Lost turns -----------------------------------------------------------------------------------------------


def housed(game, seat, classes):
    text = 'kind = "house-rules"\nlongest = 10\n[[rule]]\nsay = "YOUR TURN IS LOST"\ncost = "turn"\n'
    listed = ", ".join(f'"{name}"' for name in classes)
    return HousedGame(game, parse_house_rules(f"{text}when = [{listed}]\n", "strict.toml", game), seat)


@st.composite
def with_lost_turns(draw, pairs):
    """A game under house rules that take the turn for some classes of wrong input, and its naive twin."""
    game, model = draw(pairs)
    seat = draw(st.integers(0, 1))
    charged = [name for name in classes_of(game) if name != "after-end"]
    classes = draw(st.lists(st.sampled_from(charged), min_size=1, max_size=2, unique=True))
    return Twins(housed(game, seat, classes), naive.LostTurns(model, 1 - seat, classes))


def states_of(graph, lost):
    """The naive state for each position of a graph; there are no others."""
    states = {key(lost.model, state): state for state in lost.reached()}
    keys = keys_of(graph.game, graph.codes)
    assert sorted(keys) == sorted(states)
    return [states[at] for at in keys]


@given(with_lost_turns(dominoes() | chomps() | hexes()))
def test_values_and_distances_with_lost_turns_are_the_naive_ones(pair):
    graph = explore(pair.game)
    values = best_play(graph)
    found = [(RESULTS[value], plies) for value, plies in zip(values.value, values.distance, strict=True)]
    assert found == [pair.model.value(state) for state in states_of(graph, pair.model)]


@given(with_lost_turns(boxes()))
def test_differences_with_lost_turns_are_the_naive_ones(pair):
    graph = explore(pair.game)
    wanted = [pair.model.difference(state) for state in states_of(graph, pair.model)]
    assert differences(graph).tolist() == wanted
    assert solve_scores(pair.game).look_up(graph.codes).tolist() == wanted


def test_a_lost_turn_takes_every_box():
    """In dots and boxes having to move hurts most: a visitor who may pass lets the machine open every box."""
    game = load_game("boxes-two-by-two")
    assert solve_scores(game).at_start == 2
    assert solve_scores(housed(game, 0, ["not-understood"])).at_start == -4


@pytest.mark.parametrize(
    ("name", "seat", "fair"), [("chomp-four-by-three", 0, "first"), ("domineering-four", 0, "first")]
)
def test_a_lost_turn_gives_the_visitor_a_game_that_fair_play_would_lose(name, seat, fair):
    """Having to move hurts, in dominoes too: a visitor who may pass keeps a place of their own for the end."""
    game = load_game(name)
    graph, strict = explore(game), explore(housed(game, seat, ["not-understood"]))
    assert RESULTS[best_play(graph).value[graph.start]] == fair
    assert RESULTS[best_play(strict).value[strict.start]] == ("second" if seat == 0 else "first")


# Sets as bits ---------------------------------------------------------------------------------------------


@given(st.lists(st.integers(0, (1 << 63) - 1), max_size=6), st.integers(1, 63))
def test_members_are_the_bits_that_are_set(sets, size):
    places, members = members_of(np.array(sets, dtype=np.uint64), size)
    wanted = [(place, bit) for place, held in enumerate(sets) for bit in range(size) if held >> bit & 1]
    assert list(zip(places.tolist(), members.tolist(), strict=True)) == wanted


@given(st.data())
def test_images_of_sets_are_the_images_of_their_members(data):
    images = data.draw(st.integers(1, 58).flatmap(lambda size: st.permutations(range(size))))
    sets = data.draw(st.lists(st.integers(0, (1 << len(images)) - 1), max_size=6))
    found = Images(images).of_sets(np.array(sets, dtype=np.uint64))
    assert found.tolist() == [
        sum(1 << images[b] for b in range(len(images)) if held >> b & 1) for held in sets
    ]


# Files ----------------------------------------------------------------------------------------------------


def refused(play, columns, rows):
    """What is wrong with a board of this size, told from plain arithmetic."""
    lines = columns * (rows + 1) + rows * (columns + 1)
    bars = factorial(columns + rows) // factorial(columns) // factorial(rows)
    needed = {"dominoes": columns * rows, "chomp": bars, "boxes": lines, "hex": columns * rows}[play]
    if needed > {"dominoes": 58, "chomp": 30_000_000, "boxes": 58, "hex": 29}[play]:
        return "too large"
    return "no upright domino fits" if play == "dominoes" and rows == 1 else ""


@given(
    st.sampled_from(["dominoes", "chomp", "boxes", "hex"]),
    st.integers(1, 26),
    st.integers(1, 26) | st.integers(1, 4),
    st.booleans(),
)
def test_any_size_is_either_a_game_or_a_mistake_of_the_file(play, columns, rows, misere):
    keys = {"misere": misere} if play in ("dominoes", "hex") else {}
    if wrong := refused(play, columns, rows):
        with pytest.raises(BadInput) as told:
            game_of(play, columns, rows, **keys)
        assert len(told.value.problems) == 1
        assert wrong in str(told.value)
        return
    game = game_of(play, columns, rows, **keys)
    assert game.bits <= 58
    assert len(game.moves(one(game.start)).move) >= 1
    assert game.read(game.texts(one(game.start), 0)[0], 0, 0) == game.start


def test_an_input_off_the_board_is_found_at_once_where_names_are_long():
    """All inputs up to the length of a name are 10 million here."""
    assert Shape(game_of("dominoes", 2, 11).move_names, InputForm()).off_board_example() == b"a0-a0"
