"""Solving a game, fair and under house rules."""

import numpy as np
import pytest

from games.house import load_house_rules
from games.load import load_game
from solver.solve import solve
from tests import naive, twins


@pytest.mark.parametrize(
    "name", ["noughts-and-crosses", "misere-noughts-and-crosses", "two-by-two", "plain-rows"]
)
def test_value_distance_and_counts_of_the_catalogue(name):
    pair = twins.catalogue_twins(name)
    solution = solve(pair.game)
    model = naive.Housed(pair.naive, naive.House(), 0)
    worth, plies = model.value(model.start)
    assert solution.value == solution.fair_value == {2: "first", 1: "draw", 0: "second"}[worth]
    assert solution.distance == plies
    assert solution.positions == len(naive.every_state(model, model.next))
    assert not solution.gives_game_away
    lines = naive.lines_by_result(model)
    counts = solution.counts()
    assert tuple(counts.lines.values()) == lines
    assert sum(counts.by_ply) == solution.positions


@pytest.mark.parametrize("seat", [0, 1])
def test_a_house_rule_can_give_the_visitor_the_game(seat):
    """Where the line loses, who may pass for a wrong input need never be the one who has to move."""
    pair = twins.catalogue_twins("misere-noughts-and-crosses")
    house = twins.house_twins(pair.game, [(["empty"], "turn", 0)])
    solution = solve(pair.game, house.rules, seat)
    model = naive.Housed(pair.naive, house.naive, seat)
    worth, plies = model.value(model.start)
    assert worth == naive.LOSS
    assert solution.value == ("second", "first")[seat]
    assert solution.distance == plies
    assert solution.fair_value == "draw"
    assert solution.gives_game_away
    assert len(solution.best_line()) == plies


def test_the_line_of_best_play_goes_from_the_start_to_the_end():
    solution = solve(load_game("four-by-three"))
    assert (solution.value, solution.distance) == ("first", 7)
    line = solution.best_line()
    assert len(line) == 7
    at = np.array([solution.game.start], dtype=np.uint64)
    for name in line:
        moves = solution.game.moves(at)
        at = moves.child[moves.move == solution.game.move_names.index(name)]
        assert len(at) == 1
    assert solution.game.ending(at)[0] == 1


def test_the_usual_house_rules_change_nothing():
    game = load_game("noughts-and-crosses")
    solution = solve(game, load_house_rules("usual", game), 0)
    assert (solution.value, solution.positions) == (solution.fair_value, solution.fair.positions)


@pytest.mark.parametrize("name", ["nim-1-2-3", "hexapawn"])
def test_where_house_rules_give_a_game_away_the_line_shows_how(name):
    """The machine holds fair play as long as it can, so the visitor has to go wrong on purpose."""
    game = load_game(name)
    solution = solve(game, load_house_rules("lost-turn", game), 1)
    assert solution.gives_game_away
    assert "(turn lost)" in solution.best_line()
    assert len(solution.best_line()) == solution.distance
