"""The game graph as networkx has it, and the solver's values held against plain walks on that graph."""

import subprocess
import sys
from functools import cache

import networkx as nx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.codes import FIRST, PLAYERS, RESULTS, SECOND
from games.game import least_images, scored
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import catalogue_names, load_game
from solver.graph import TooLarge
from solver.network import TooManyToDraw, network
from tests.sampled import sampled
from tests.solver.toy import Toy

SMALL, LARGER = 8_000, 40_000
"""Positions up to which a game is checked every day, and now and then."""
HOUSES = (None, FIRST, SECOND)
"""Fair play, and lost turns with the machine in either seat."""


# Walks ----------------------------------------------------------------------------------------------------


def attractor(graph, player):
    """Where a player can force a win, by nothing but walks: each such position with the plies that it takes.

    In round n a position joins if its mover is the player and some move leads to one that has joined before, or
    if its mover is the other and every move does.
    """
    joined = {node: 0 for node, ending in graph.nodes(data="ending") if ending == player}
    waiting = [node for node in graph if graph.out_degree(node)]
    for plies in range(1, len(graph) + 1):
        new = [
            node
            for node in waiting
            if (any if graph.nodes[node]["mover"] == player else all)(
                child in joined for child in graph.successors(node)
            )
        ]
        if not new:
            break
        joined |= dict.fromkeys(new, plies)
        waiting = [node for node in waiting if node not in joined]
    return joined


def differences(graph):
    """What is still to come in every position of a score game, from the last moves back."""
    to_come = {}
    for node in reversed(list(nx.topological_sort(graph))):
        best = max if graph.nodes[node]["mover"] == "first" else min
        to_come[node] = best(
            (move["gain"] + to_come[child] for _, child, move in graph.out_edges(node, data=True)), default=0
        )
    return to_come


def check_values(graph):
    """Values and distances are those of the attractors, and draws are exactly what neither side can force."""
    if any(isinstance(value, int) for _, value in graph.nodes(data="value")):
        assert dict(graph.nodes(data="value")) == differences(graph)
        assert all("distance" not in position for _, position in graph.nodes(data=True))
        return
    forced = {player: attractor(graph, player) for player in PLAYERS}
    assert not forced["first"].keys() & forced["second"].keys()
    for node, position in graph.nodes(data=True):
        if position["value"] == "draw":
            assert not any(node in plies for plies in forced.values())
            assert "distance" not in position
        else:
            assert forced[position["value"]][node] == position["distance"]


def check_best(graph):
    """Best moves are those that keep value and distance; in a score game those that lose nothing."""
    for before, after, move in graph.edges(data=True):
        old, new = graph.nodes[before], graph.nodes[after]
        if "gain" in move:
            keeps = move["gain"] + new["value"] == old["value"]
        elif old["value"] == "draw":
            keeps = new["value"] == "draw"
        else:
            keeps = new["value"] == old["value"] and new["distance"] == old["distance"] - 1
        assert move["best"] == keeps


def played(name, seat):
    """A game of the catalogue, fair (seat None) or with turns lost by wrong input and the machine in a seat."""
    game = load_game(name)
    return game if seat is None else HousedGame(game, load_house_rules("lost-turn", game), seat)


@cache
def small_network(name, seat=None):
    """The graph of a game, or None if it is too large."""
    try:
        return network(played(name, seat), limit=SMALL)
    except TooLarge:
        return None


def walked(names, seat, limit):
    """Walk the graphs of those games that are small enough: their names, and those of the games that do not agree."""
    right, wrong = [], []
    for name in names:
        try:
            graph = network(played(name, seat), limit=limit)
            check_values(graph)
            check_best(graph)
            right.append(name)
        except TooLarge:
            continue
        except AssertionError as difference:
            wrong.append((name, str(difference)))
    return right, wrong


@pytest.mark.parametrize(("seat", "at_least"), sampled([(None, 30), (FIRST, 22), (SECOND, 18)], every=3))
def test_values_of_every_small_game_are_what_plain_walks_find(seat, at_least):
    right, wrong = walked(catalogue_names(), seat, SMALL)
    assert wrong == []
    assert len(right) >= at_least


@pytest.mark.long
@pytest.mark.parametrize(("seat", "at_least"), [(None, 36), (FIRST, 34), (SECOND, 34)])
def test_values_of_every_larger_game_are_what_plain_walks_find(seat, at_least):
    right, wrong = walked(catalogue_names(), seat, LARGER)
    assert wrong == []
    assert len(right) >= at_least


@st.composite
def toys(draw):
    """Any small graph as a game: moves lead anywhere, so also round in circles and back to where they came from."""
    size = draw(st.integers(1, 9))
    moves = st.lists(st.integers(0, size - 1), min_size=1, max_size=3, unique=True)
    position = st.tuples(st.integers(0, 1), moves)
    other = st.one_of(position, position, st.sampled_from(["first", "second", "draw"]))
    return Toy([draw(position), *(draw(other) for _ in range(size - 1))])


@given(toys())
def test_values_of_any_graph_are_what_plain_walks_find(game):
    graph = network(game)
    check_values(graph)
    check_best(graph)


@pytest.mark.parametrize("seat", HOUSES)
def test_every_family_has_small_games_that_are_walked(seat):
    names = ("two-by-two", "pong-hau-ki", "hexapawn", "nim-1-2-3", "chomp-four-by-three")
    assert all(small_network(name, seat) for name in names)


def test_walks_find_a_wrong_value():
    graph = small_network("hexapawn").copy()
    graph.nodes[0]["distance"] += 2
    with pytest.raises(AssertionError):
        check_values(graph)
    graph = small_network("pong-hau-ki").copy()
    drawn = next(node for node, value in graph.nodes(data="value") if value == "draw")
    graph.nodes[drawn].update({"value": "first", "distance": 3})
    with pytest.raises((AssertionError, KeyError)):
        check_values(graph)


# What is in the graph -------------------------------------------------------------------------------------


@pytest.mark.parametrize("seat", HOUSES)
@pytest.mark.parametrize(
    "name", ["two-by-two", "pong-hau-ki", "hexapawn", "nim-1-2-3", "chomp-four-by-three"]
)
def test_positions_and_moves_are_the_game_s_own(name, seat):
    """Asked for one position at a time."""
    game, graph = played(name, seat), small_network(name, seat)
    assert nx.descendants(graph, 0) | {0} == set(graph)
    for node, position in graph.nodes(data=True):
        code = np.array([int(position["code"], 16)], dtype=np.uint64)
        assert position["mover"] == PLAYERS[game.mover(code)[0]]
        assert position["ending"] == RESULTS[game.ending(code)[0]]
        assert [position["text"]] == game.texts(code, FIRST)
        assert position["goes_on"] is False
        moves = game.moves(code) if position["ending"] == "unfinished" else game.moves(code[:0])
        assert sorted((game.move_names[move], hex(child)) for _, move, child in zip(*moves, strict=True)) == (
            sorted(
                (move, graph.nodes[child]["code"])
                for _, child, move in graph.out_edges(node, data="move")
            )
        )  # fmt: skip


@pytest.mark.parametrize("name", ["hexapawn", "pong-hau-ki", "nim-1-2-3", "small-mu-torere"])
def test_plies_are_those_of_the_shortest_lines_and_numbers_go_by_them(name):
    graph = small_network(name)
    shortest = nx.single_source_shortest_path_length(graph, graph.graph["start"])
    assert dict(graph.nodes(data="ply")) == shortest
    order = [(position["ply"], int(position["code"], 16)) for _, position in graph.nodes(data=True)]
    assert list(graph) == list(range(len(graph)))
    assert order == sorted(order)
    assert sorted(key for *_, key in graph.edges(keys=True)) == list(range(graph.number_of_edges()))


@pytest.mark.parametrize(
    "name", ["noughts-and-crosses", "two-by-two", "pong-hau-ki", "hexapawn", "boxes-three-by-one"]
)
def test_up_to_symmetry_every_position_stands_for_its_images(name):
    game = load_game(name)
    every, one_of_each = small_network(name), network(game, up_to_symmetry=True)
    codes = np.array([int(code, 16) for _, code in every.nodes(data="code")], dtype=np.uint64)
    least = dict(zip(every, map(hex, least_images(game, codes)[0].tolist()), strict=True))
    about = {
        position["code"]: {key: position[key] for key in ("ply", "value", "ending", "mover")}
        for _, position in one_of_each.nodes(data=True)
    }
    assert set(least.values()) == set(about)
    for node, position in every.nodes(data=True):
        assert about[least[node]].items() <= position.items()
    full_number = {position["code"]: node for node, position in every.nodes(data=True)}
    for node, position in one_of_each.nodes(data=True):
        same = full_number[position["code"]]
        assert sorted(
            (move["move"], move["best"], one_of_each.nodes[child]["code"])
            for _, child, move in one_of_each.out_edges(node, data=True)
        ) == sorted(
            (move["move"], move["best"], least[child]) for _, child, move in every.out_edges(same, data=True)
        )
    assert one_of_each.graph["up_to_symmetry"]
    check_best(one_of_each)


@pytest.mark.parametrize("plies", [1, 2, 3, 6, 7, 8])
def test_the_first_plies_are_a_part_of_the_whole(plies):
    whole, part = small_network("hexapawn"), network(load_game("hexapawn"), plies=plies)
    kept = [node for node, ply in whole.nodes(data="ply") if ply <= plies]
    on_the_last = {
        node
        for node in kept
        if whole.nodes[node]["ply"] == plies and whole.nodes[node]["ending"] == "unfinished"
    }
    assert list(part) == kept
    for node, position in part.nodes(data=True):
        assert position == whole.nodes[node] | {"goes_on": node in on_the_last}
        assert part.out_degree(node) == (0 if node in on_the_last else whole.out_degree(node))
    assert part.graph["cut_off"] == bool(on_the_last)


def test_a_graph_that_is_too_large_says_how_many_plies_would_do():
    game = load_game("noughts-and-crosses")
    with pytest.raises(TooManyToDraw) as too_many:
        network(game)
    assert too_many.value.plies == 4
    assert len(network(game, plies=4)) <= 2000
    with pytest.raises(TooManyToDraw):
        network(game, plies=5)
    with pytest.raises(TooManyToDraw) as hopeless:
        network(game, limit=9)
    assert hopeless.value.plies == 0


def test_in_a_score_game_values_are_differences():
    graph = small_network("boxes-three-by-one")
    assert scored(load_game("boxes-three-by-one")) is not None
    assert {type(value) for _, value in graph.nodes(data="value")} == {int}
    assert {move["gain"] for *_, move in graph.edges(data=True)} == {-2, -1, 0, 1, 2}


def test_networkx_is_loaded_only_for_a_graph():
    loaded = "import sys, solver.network, workbench.commands.graph; print('networkx' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", loaded], capture_output=True, text=True, check=True)
    assert done.stdout == "False\n"
