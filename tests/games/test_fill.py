"""Games on boards that fill up, against the slow, obvious models: rules, symmetries, lost turns, files."""

from math import factorial

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.bitsets import Images, members_of
from games.codes import FIRST_WINS, RESULTS, SECOND_WINS, TURN, UNFINISHED
from games.game import inverse_symmetries, on_board, scored, with_lines
from games.load import load_game
from games.problems import BadInput
from solver.graph import explore
from solver.scores import differences, solve_scores
from solver.values import best_play
from tests import naive_fill as naive
from tests.fill_twins import (
    boxes,
    chomps,
    dominoes,
    game_of,
    games,
    hexes,
    housed,
    key,
    keys_of,
    one,
    with_lost_turns,
)

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


# Lost turns -----------------------------------------------------------------------------------------------


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


@pytest.mark.parametrize(
    "chain",
    [
        [(0, 3), (1, 2), (1, 1), (2, 0), (3, 0)],  # up, and slanting up
        [(0, 0), (1, 0), (1, 1), (2, 1), (2, 2), (3, 2)],  # down
        [(0, 1), (1, 1), (1, 2), (1, 3), (2, 3), (3, 2)],  # down, and up again
    ],
    ids=["up", "down", "round"],
)
@pytest.mark.parametrize("player", [0, 1], ids=["top to bottom", "left to right"])
def test_a_chain_of_hex_may_turn_any_way_and_needs_every_link(chain, player):
    """The board looks the same from the other diagonal, where rows are columns, and upside down."""
    game = game_of("hex", 4, 4)
    won = FIRST_WINS if player == 0 else SECOND_WINS
    for turned in (chain, [(3 - column, 3 - row) for column, row in chain]):
        cells = [row * 4 + column if player else column * 4 + row for column, row in turned]
        for missing in (None, *cells):
            held = sum(1 << cell for cell in cells if cell != missing)
            code = game.code_of(*((held, 0) if player == 0 else (0, held)), 0)
            assert game.ending(one(code))[0] == (UNFINISHED if missing is not None else won), missing
