"""What a position is to the machine room, and that every family answers in arrays of the promised types."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.codes import (
    PLAYERS,
    RESULTS,
    TURN,
    UNFINISHED,
    MoveList,
    by_parent,
    distinct,
    player_named,
    turn_of,
    win_of,
)
from games.game import counting_plies, inverse_symmetries, least_images, on_board, scored, with_lines
from games.limited import limited
from games.load import catalogue_names, load_game
from games.own.watched import Watched


def test_players_and_results_have_names():
    assert [PLAYERS[player_named(name)] for name in ("first", "second")] == ["first", "second"]
    assert [RESULTS[win_of(player)] for player in range(2)] == ["first", "second"]
    assert RESULTS == ("unfinished", "first", "second", "draw")


@given(st.lists(st.integers(0, (1 << 64) - 1) | st.integers(0, 3), max_size=12))
def test_distinct_values_are_sorted_and_each_once(values):
    found = distinct(np.array(values, dtype=np.uint64))
    assert found.dtype == np.uint64
    assert found.tolist() == sorted(set(values))


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3)), max_size=9, unique=True))
def test_moves_are_sorted_by_parent_and_then_by_move(pairs):
    parent, move = np.array(pairs, dtype=np.intp).reshape(-1, 2).T
    moves = by_parent(MoveList(parent, move.astype(np.uint16), (parent * 4 + move).astype(np.uint64)))
    assert [*zip(moves.parent.tolist(), moves.move.tolist(), strict=True)] == sorted(pairs)
    assert moves.child.tolist() == [parent * 4 + move for parent, move in sorted(pairs)]


def test_the_turn_is_the_highest_bit():
    turns = turn_of(np.array([0, 1 << 63, (1 << 63) - 1], dtype=np.uint64))
    assert (turns.dtype, turns.tolist()) == (np.uint8, [0, 1, 0])


@pytest.mark.parametrize("name", catalogue_names())
def test_answers_have_the_promised_types(name):
    """Of the start and the positions behind it; `Watched` raises where a type or a shape is another."""
    watched = Watched(load_game(name))
    game = watched.game
    start = np.array([game.start], dtype=np.uint64)
    codes = np.concatenate([start, watched.moves(start).child])
    watched.moves(codes[watched.ending(codes) == UNFINISHED])
    every = np.arange(len(game.move_names), dtype=np.uint16)
    watched.mover(codes)
    reasons = watched.why_not(np.repeat(start, len(every)), every)
    assert reasons.max() <= len(game.refusals)
    watched.holdings(codes)
    watched.gains(np.repeat(start, len(watched.moves(start).move)), watched.moves(start).move)
    for symmetry in range(game.symmetries):
        watched.turned(symmetry, codes)
        watched.turned_move(symmetry, every)
    assert [text.isascii() for text in watched.texts(codes, 1)] == [True] * len(codes)


@pytest.mark.parametrize("name", ["two-by-two", "boxes-two-by-two", "misere-nim-3-4-5"])
def test_the_least_image_is_the_least_of_all_and_the_first_that_is(name):
    game = load_game(name)
    start = np.array([game.start], dtype=np.uint64)
    codes = np.concatenate([start, game.moves(start).child, start | TURN])
    least, by = least_images(game, codes)
    images = [game.turned(symmetry, codes).tolist() for symmetry in range(game.symmetries)]
    assert (least.dtype, by.dtype) == (np.uint64, np.uint8)
    assert least.tolist() == [min(column) for column in zip(*images, strict=True)]
    assert by.tolist() == [column.index(min(column)) for column in zip(*images, strict=True)]
    assert codes[0] == game.start, "what is asked about stays as it is"


@pytest.mark.parametrize("name", ["two-by-two", "pong-hau-ki", "misere-nim-3-4-5"])
def test_each_symmetry_is_undone_by_one(name):
    game = load_game(name)
    every = np.arange(len(game.move_names), dtype=np.uint16)
    back = inverse_symmetries(game)
    assert len(back) == game.symmetries
    for symmetry, undone in enumerate(back):
        assert game.turned_move(undone, game.turned_move(symmetry, every)).tolist() == every.tolist()


def test_what_a_game_is_besides_is_told_by_what_it_gives():
    """Marks on cells have lines, men on points have none, boxes score, heaps are neither; a limit counts plies."""
    shapes = {
        "two-by-two": (True, True, False),
        "pong-hau-ki": (True, False, False),
        "boxes-two-by-two": (False, False, True),
        "nim-1-2-3": (False, False, False),
    }
    for name, shape in shapes.items():
        game = load_game(name)
        found = on_board(game), with_lines(game), scored(game)
        assert tuple(each is game for each in found) == shape
        assert tuple(each is None for each in found) == tuple(not each for each in shape)
        assert counting_plies(game) is None
    short = limited(load_game("pong-hau-ki"), 5)
    assert counting_plies(short) is short
