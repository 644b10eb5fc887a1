"""Which positions can come again, against plain walks of networkx."""

import networkx as nx
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.coming import coming_again
from solver.graph import explore
from tests.solver.test_loops import drawings
from tests.solver.toy import Toy


def by_networkx(graph):
    plays = nx.DiGraph(zip(graph.parent.tolist(), graph.child.tolist(), strict=True))
    plays.add_nodes_from(range(len(graph)))
    again = np.zeros(len(graph), dtype=bool)
    for part in nx.strongly_connected_components(plays):
        again[list(part)] = len(part) > 1 or plays.has_edge(*2 * tuple(part))
    return again


@given(drawings(most=40))
def test_drawings(drawing):
    graph = explore(Toy(drawing))
    assert np.array_equal(coming_again(graph), by_networkx(graph))


@given(st.lists(st.integers(2, 6), min_size=2, max_size=8), st.data())
def test_chains_of_rings(sizes, data):
    """Ring after ring, each with one way to the next: as many sets as rings, and none leads back."""
    starts = np.cumsum([0, *sizes]).tolist()
    drawing = []
    for start, size in zip(starts, sizes, strict=False):
        drawing += [(0, [start + (place + 1) % size]) for place in range(size)]
    drawing.append("draw")
    for start, size, after in zip(starts, sizes, starts[1:], strict=False):
        drawing[start + data.draw(st.integers(0, size - 1))][1].append(after)
    graph = explore(Toy(drawing))
    assert coming_again(graph).tolist() == [True] * sum(sizes) + [False]


@pytest.mark.parametrize(
    "name",
    ["pong-hau-ki", "mu-torere", "three-mens-morris", "dodgem", "northcott", "harbour-crossing", "hexapawn"],
)
@pytest.mark.parametrize("house", [None, "lost-turn"])
def test_games(name, house):
    game = load_game(name)
    played = game if house is None else HousedGame(game, load_house_rules(house, game), 1)
    graph = explore(played)
    again = coming_again(graph)
    assert np.array_equal(again, by_networkx(graph))
    assert not again[graph.ending != 0].any()
