"""What limits cost, counted one position at a time."""

import networkx as nx
import pytest

from games.codes import FIRST
from games.house import load_house_rules
from games.housed import HousedGame
from games.limited import limited
from games.load import load_game
from games.repetition import repeated
from solver.engines import solve_game, solve_plainly
from solver.graph import explore
from solver.limit_cost import limit_cost


@pytest.mark.parametrize("house", [None, "lost-turn", "three-warnings"])
@pytest.mark.parametrize(("name", "limit"), [("pong-hau-ki", 20), ("two-by-two", 3), ("hexapawn", 9)])
def test_plies(name, limit, house):
    game = limited(load_game(name), limit)
    played = game if house is None else HousedGame(game, load_house_rules(house, game), FIRST)
    cost = limit_cost(solve_game(played))
    graph = explore(played)
    counter = (1 << limit.bit_length()) - 1 << load_game(name).bits
    boards = {code & ~counter for code in graph.codes.tolist()}
    assert cost == ("plies", limit, len(f"{limit:b}"), 1, len(graph), len(boards))


def test_plies_of_marks_that_stay_cost_no_position():
    """Each mark is a ply, so the board says how many there were."""
    cost = limit_cost(solve_game(limited(load_game("noughts-and-crosses"), 9)))
    assert cost.positions == cost.positions_without == 5478


@pytest.mark.parametrize(("comings", "bits"), [(2, 1), (3, 2), (4, 2), (5, 3), (1000, 10)])
@pytest.mark.parametrize("house", [None, "lost-turn"])
def test_repetitions(comings, bits, house):
    game = repeated(load_game("pong-hau-ki"), comings)
    played = game if house is None else HousedGame(game, load_house_rules(house, game), FIRST)
    graph = explore(played)
    plays = nx.DiGraph(zip(graph.parent.tolist(), graph.child.tolist(), strict=True))
    again = sum(len(part) for part in nx.strongly_connected_components(plays) if len(part) > 1)
    cost = limit_cost(solve_game(played))
    assert cost == ("repetitions", comings, bits, again, len(graph), len(graph))
    assert 0 < again < len(graph)


def test_from_a_position_on_only_what_can_still_arise_is_counted():
    game = repeated(load_game("tapatan"), 3)
    whole = explore(game)
    begin = int(whole.codes[whole.child[0]])
    graph = explore(game, start=begin)
    assert len(graph) < len(whole)
    plays = nx.DiGraph(zip(graph.parent.tolist(), graph.child.tolist(), strict=True))
    again = sum(len(part) for part in nx.strongly_connected_components(plays) if len(part) > 1)
    cost = limit_cost(solve_plainly(game, begin))
    assert (cost.counts, cost.positions) == (again, len(graph))


def test_no_limit_costs_nothing():
    assert limit_cost(solve_game(load_game("pong-hau-ki"))) is None
