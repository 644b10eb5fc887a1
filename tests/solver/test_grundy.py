"""Values of games of taking: by trying every move, by Grundy values, and with lost turns."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from games.house import parse_house_rules
from solver import grundy
from solver.graph import explore
from solver.solve import solve
from solver.values import best_play
from tests import naive_take
from tests.take_twins import (
    RESULTS,
    SECOND,
    check_graph,
    heap_games,
    heaps,
    octal_codes,
    pin_games,
    pins,
    strip_games,
    strips,
    written,
)


def mover_wins(graph):
    value = best_play(graph).value
    assert set(value.tolist()) <= {1, 2}
    return (value - 1 == graph.mover).tolist()


@given(heap_games() | pin_games())
def test_values_are_those_of_trying_every_move(pair):
    graph, boards = check_graph(pair, pair.game)
    assert mover_wins(graph) == [naive_take.wins(pair.naive, board) for board, _ in boards]


@given(heap_games() | pin_games())
def test_grundy_values_of_sums_are_those_of_the_game_graph_and_tell_who_wins(pair):
    game = pair.game
    longest = max(pair.naive.parts(pair.naive.start))
    graph = explore(game)
    of_size = grundy.of_rows(game.octal, longest)
    of_sums = grundy.of_sums(game.parts(graph.codes), of_size)
    assert of_sums.tolist() == grundy.of_positions(graph).tolist()
    if not game.misere:
        assert mover_wins(graph) == (of_sums != 0).tolist()


@given(heap_games() | pin_games())
def test_parts_are_the_heaps_and_what_stands_side_by_side(pair):
    _, boards = check_graph(pair, pair.game)
    codes = explore(pair.game).codes
    found = [[size for size in sizes if size] for sizes in pair.game.parts(codes).tolist()]
    assert found == [pair.naive.parts(board) for board, _ in boards]


@given(octal_codes("01234567"), st.integers(0, 30))
def test_grundy_values_of_rows_are_the_naive_ones(code, longest):
    game = written(play="pins", rows=[max(1, longest)], octal=code)
    values = grundy.of_rows(game.octal, longest).tolist()
    assert values == naive_take.grundy_of_rows(code, longest)


@given(st.lists(st.lists(st.integers(0, 9), max_size=6), min_size=1, max_size=5))
def test_mex_is_the_least_number_that_is_missing(values):
    pairs = [(owner, value) for owner, each in enumerate(values) for value in each][::-1]
    owners, numbers = (np.array([pair[side] for pair in pairs], dtype=np.intp) for side in (0, 1))
    found = grundy.mex(owners, numbers, len(values))
    assert found.tolist() == [naive_take.least_missing(each) for each in values]


def test_positions_that_can_come_back_have_no_grundy_values():
    with pytest.raises(
        ValueError, match=r"^positions that can come back have no Grundy values of their own$"
    ):
        grundy.of_positions(explore(strips(["F__S"]).game))


@settings(max_examples=15)
@given(strip_games())
def test_northcott_is_nim_of_the_gaps_whether_or_not_men_may_go_back(pair):
    """Who is winning follows each step back; so play comes to an end all the same (Winning Ways, from memory)."""
    last_move_wins = strips(pair.naive.start, pair.naive.forward_only)
    graph, boards = check_graph(last_move_wins, last_move_wins.game)
    gaps = [last_move_wins.naive.gaps(board) for board, _ in boards]
    assert mover_wins(graph) == [naive_take.exclusive_or(each) != 0 for each in gaps]


def test_northcott_can_go_on_for_ever_only_where_men_may_go_back():
    for forward_only in (False, True):
        game = strips(["F___S"], forward_only).game
        solution = solve(game)
        assert game.can_repeat == (not forward_only)
        assert (solution.counts().lines is None) == (not forward_only)


LOST_TURN = 'kind = "house-rules"\n[[rule]]\nwhen = ["off-board"]\nsay = "TURN LOST"\ncost = "turn"\n'


@pytest.mark.parametrize(
    "pair",
    [
        heaps([1, 2, 3]),
        heaps([20], "0.333"),
        heaps([2, 2], misere=True),
        pins([4, 4], "0.77"),
        pins([5], "0.07"),
        strips(["F__S", "F__S"]),
        strips(["F__S", "F__S"], forward_only=True),
    ],
)
def test_a_lost_turn_gives_the_visitor_a_game_that_fair_play_would_lose(pair):
    game = pair.game
    house = parse_house_rules(LOST_TURN, "turn.toml", game)
    solution = solve(game, house, SECOND)
    assert (solution.fair_value, solution.value) == ("second", "first")
    assert solution.gives_game_away
    after_losing_the_turn = solution.solved.look_up(np.array([game.start | 1 << 63], dtype=np.uint64))
    assert after_losing_the_turn.value[0] == RESULTS["first"]
