"""Values, distances and counts of whole games, house rules and all, against plain recursion and plain graph walks."""

import networkx as nx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.codes import FIRST, UNFINISHED
from games.housed import HousedGame
from solver import counts
from solver.graph import TooLarge, explore
from solver.layers import solve_by_layers
from solver.loops import solve_loops
from solver.solved import start_values
from solver.tally import tally
from solver.values import best_play
from tests import naive, twins
from tests.solver.toy import Toy


@st.composite
def housed(draw, most_cells=5):
    pair = draw(twins.games(most_cells) | twins.falling_games(most_cells))
    house, seat = draw(twins.house_rules(pair.game)), draw(st.integers(0, 1))
    return HousedGame(pair.game, house.rules, seat), naive.Housed(pair.naive, house.naive, seat)


def values_by_state(game, graph, values):
    """For each position its value as the naive model puts it."""
    worths = {game.seat + 1: naive.WIN, 2 - game.seat: naive.LOSS, 3: naive.DRAW}
    found = {}
    for place, code in enumerate(graph.codes.tolist()):
        plies = int(values.distance[place])
        found[twins.state_of(game, code)] = worths[int(values.value[place])], None if plies < 0 else plies
    return found


@given(housed())
def test_values_and_distances_are_the_naive_ones(both):
    game, model = both
    graph = explore(game)
    wanted = {state: model.value(state) for state in naive.every_state(model, model.next)}
    assert values_by_state(game, graph, best_play(graph)) == wanted


@pytest.mark.parametrize("name", ["noughts-and-crosses", "misere-noughts-and-crosses", "plain-rows"])
def test_values_of_whole_games_are_the_naive_ones(name):
    pair = twins.catalogue_twins(name)
    house = twins.house_twins(pair.game, [])
    game, model = HousedGame(pair.game, house.rules, 0), naive.Housed(pair.naive, house.naive, 0)
    graph = explore(game)
    wanted = {state: model.value(state) for state in naive.every_state(model, model.next)}
    assert values_by_state(game, graph, best_play(graph)) == wanted


@given(housed())
def test_values_and_distances_are_the_same_seen_through_any_symmetry(both):
    game, _ = both
    graph = explore(game)
    values = best_play(graph)
    for symmetry in range(game.symmetries):
        image = graph.places(game.turned(symmetry, graph.codes))
        assert np.array_equal(values.value[image], values.value)
        assert np.array_equal(values.distance[image], values.distance)


def test_the_wins_of_noughts_and_crosses_are_what_a_plain_attractor_holds():
    """From the won endings backward over networkx's graph: one move for the winner, all moves for the loser."""
    graph = explore(twins.twins_in_a_row(3, 3, 3).game)
    values = best_play(graph)
    plays = nx.DiGraph(zip(graph.parent.tolist(), graph.child.tolist(), strict=True))
    for player in (0, 1):
        won = {place: 0 for place in plays if graph.ending[place] == player + 1}
        plies = 0
        while True:
            plies += 1
            nearly = {parent for place in won for parent in plays.predecessors(place)} - set(won)
            new = [
                place
                for place in nearly
                if graph.mover[place] == player or all(child in won for child in plays.successors(place))
            ]
            if not new:
                break
            won |= dict.fromkeys(new, plies)
        found = np.nonzero(values.value == player + 1)[0].tolist()
        assert {place: int(values.distance[place]) for place in found} == won


@given(housed())
def test_counts_are_the_naive_ones(both):
    game, model = both
    graph = explore(game)
    plies = naive.every_state(model, model.next)
    last = max(plies.values())
    for engine in (solve_loops, solve_by_layers):
        counted = tally(engine(game))
        assert counted.by_ply == [list(plies.values()).count(ply) for ply in range(last + 1)]
    images = {(model.game.least_image(s.board)[0], s[1:]): ply for s, ply in plies.items()}
    assert counted.by_ply_up_to_symmetry == [list(images.values()).count(ply) for ply in range(last + 1)]
    assert len(counts.one_of_each(game, graph.codes)) == len(images)
    results = [model.result(state) for state in plies]
    assert counted.endings == {result: results.count(result) for result in ("first", "second", "draw")}
    lines = naive.lines_by_result(model)
    assert tuple(counted.lines.values()) == lines
    assert counts.lines_of_play(graph) == {
        "all": sum(lines), **dict(zip(("first", "second", "draw"), lines, strict=True))
    }  # fmt: skip


@pytest.mark.parametrize("steps", [10, 39, 40, 58])
def test_lines_of_play_are_exact_however_many_there_are(steps):
    """Three ways at each of so many steps: beyond what 64 bits hold from the fortieth on."""
    drawing = [(0, [step + 1] * 3) for step in range(steps)] + ["draw"]
    assert counts.lines_of_play(explore(Toy(drawing)))["all"] == 3**steps
    assert counts.longest_line(explore(Toy(drawing))) == steps


def test_lines_that_break_off_are_counted_among_all():
    drawing = [(0, [1, 2]), "first", (1, [])]
    assert counts.lines_of_play(explore(Toy(drawing))) == {"all": 2, "first": 1, "second": 0, "draw": 0}


def test_a_position_that_was_never_reached_is_not_found():
    graph = explore(twins.twins_in_a_row(3, 3, 3).game)
    beyond = twins.one(graph.game.code_of(0b111, 0b111000, 0))
    with pytest.raises(KeyError, match=f"^'position {int(beyond[0]):#x} was never reached'$"):
        graph.places(beyond)
    with pytest.raises(KeyError, match=r"^'position 0xffffffffffffffff was never reached'$"):
        graph.places(np.array([0, (1 << 64) - 1], dtype=np.uint64))
    assert graph.places(graph.codes[::-1]).tolist() == list(range(len(graph)))[::-1]


@given(twins.games(most_cells=6))
def test_the_moves_of_a_graph_are_found_from_both_ends(pair):
    graph = explore(pair.game)
    into, first = graph.edges_into()
    for place in range(len(graph)):
        assert sorted(into[first[place] : first[place + 1]]) == np.nonzero(graph.child == place)[0].tolist()
        assert list(graph.edges_of(place)) == np.nonzero(graph.parent == place)[0].tolist()


def test_a_game_that_is_too_large_is_given_up():
    with pytest.raises(TooLarge) as caught:
        explore(twins.twins_in_a_row(3, 3, 3).game, limit=1_000)
    met = caught.value.found  # all of the ply on which there were too many
    assert met == 1 + 9 + 72 + 252 + 756
    assert str(caught.value) == f"more than 1,000 positions can arise ({met:,} were met before stopping)"
    assert len(explore(twins.twins_in_a_row(3, 3, 3).game, limit=5_478)) == 5_478


def test_a_game_over_before_it_begins_has_one_position():
    graph = explore(Toy(["draw", (0, [0])]))
    assert len(graph) == 1
    assert best_play(graph).value.tolist() == [3]
    assert graph.ending[graph.start] != UNFINISHED
    assert graph.mover[graph.start] == FIRST
    for over, value in (("draw", ("draw", None)), ("first", ("first", 0)), ("second", ("second", 0))):
        assert start_values(solve_loops(Toy([over, (0, [0])]))) == value
