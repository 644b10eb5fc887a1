"""Strategies that could win for ever and never do: on real boards, in fair play and by turns lost on purpose."""

import numpy as np
import pytest

from games.codes import FIRST, win_of
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.graph import explore
from solver.proof import PROVED, REFUTED, prove
from solver.record import plies
from solver.strategy import Allowed, Strategy
from solver.values import best_play


class Looked:
    """A rule that plays what it has been told, by position."""

    text, line, stores_answers = "as told", 1, True

    def __init__(self, told):
        self.told = told

    def allowed(self, view):
        pairs = [
            (place, self.told[code]) for place, code in enumerate(view.codes.tolist()) if code in self.told
        ]
        place, move = zip(*pairs, strict=True) if pairs else ((), ())
        return Allowed(np.array(place, dtype=np.intp), np.array(move, dtype=np.uint16))


class Truth:
    """Every position of a game, with value and distance, and what its moves lead to."""

    def __init__(self, game):
        self.game = game
        self.graph = explore(game)
        self.values = best_play(self.graph)

    def worth(self, place, seat):
        value = self.values.value[place]
        return 2 if value == win_of(seat) else 1 if value == 3 else 0

    def choose(self, place, seat, *, dawdles):
        """A move that keeps the value; where that is a win, the quickest, or the one that puts it off longest."""
        graph, distance = self.graph, self.values.distance
        best = max(self.worth(graph.child[e], seat) for e in graph.edges_of(place))
        kept = [e for e in graph.edges_of(place) if self.worth(graph.child[e], seat) == best]
        if best == 2:
            far = max if dawdles else min
            kept = [far(kept, key=lambda edge: (distance[graph.child[edge]], edge))]
        return int(graph.move[kept[0]])

    def told(self, seat, *, dawdles):
        """What to play wherever the seat is to move."""
        graph = self.graph
        places = np.flatnonzero((graph.mover == seat) & (graph.ending == 0))
        return {int(graph.codes[p]): self.choose(int(p), seat, dawdles=dawdles) for p in places}


def strategy(game, seat, told):
    return Strategy("told", "told", game, seat, [Looked(told)])


@pytest.fixture(scope="module")
def morris():
    return Truth(load_game("three-mens-morris"))


CLAIMS = ("never-loses", "best-value", "quickest")


@pytest.mark.parametrize("claim", CLAIMS)
def test_a_strategy_that_comes_nearer_with_every_move_wins_three_mens_morris(morris, claim):
    quick = strategy(morris.game, FIRST, morris.told(FIRST, dawdles=False))
    assert prove(quick, claim, load_house_rules("usual", morris.game)).verdict == PROVED


def test_a_strategy_that_stays_in_won_positions_for_ever_is_refuted(morris):
    dawdler = strategy(morris.game, FIRST, morris.told(FIRST, dawdles=True))
    usual = load_house_rules("usual", morris.game)
    assert prove(dawdler, "never-loses", usual).verdict == PROVED
    proof = prove(dawdler, "best-value", usual)
    assert proof.verdict == REFUTED
    assert proof.failure.is_endless
    assert proof.longest_line is None
    check_loop(proof, morris)
    assert prove(dawdler, "quickest", usual).verdict == REFUTED


def check_loop(proof, truth):
    """The line comes back to where its loop begins, all of it is won, and another move would bring the win nearer."""
    graph, line = proof.walk.graph, proof.failure.line
    places = [graph.start, *(int(graph.child[edge]) for edge in line.edges)]
    assert [int(graph.parent[edge]) for edge in line.edges] == places[:-1]
    assert places[line.loop] == places[-1]
    at = truth.graph.places(graph.codes[places])
    assert all(truth.worth(place, proof.walk.game.seat) == 2 for place in at)
    decision = proof.decision()
    assert line.loop <= decision.ply < len(line.edges)
    here = truth.graph.places(graph.codes[[decision.place]])[0]
    for move in decision.better:
        [edge] = [e for e in truth.graph.edges_of(here) if truth.graph.move[e] == move]
        assert truth.values.distance[truth.graph.child[edge]] == truth.values.distance[here] - 1
    assert decision.better
    assert decision.move not in decision.better


def test_turns_lost_on_purpose_can_make_a_loop_of_a_strategy_that_wins_fair_games(morris):
    """It plays quickly where fair play can lead it, and puts the win off where only a lost turn can have."""
    strict = load_house_rules("lost-turn", morris.game)
    housed = Truth(HousedGame(morris.game, strict, FIRST))
    quick = morris.told(FIRST, dawdles=False)
    usual = load_house_rules("usual", morris.game)
    met = prove(strategy(morris.game, FIRST, quick), "best-value", usual).walk
    fair = {int(code) for code in met.graph.codes[met.machine]}
    told = {
        code: quick[code] if code in fair else move for code, move in housed.told(FIRST, dawdles=True).items()
    }
    mixed = strategy(morris.game, FIRST, told)
    assert prove(mixed, "best-value", usual).verdict == PROVED
    assert prove(mixed, "quickest", usual).verdict == PROVED
    proof = prove(mixed, "best-value", strict)
    assert proof.verdict == REFUTED
    assert proof.failure.is_endless
    check_loop(proof, housed)
    line = plies(proof, proof.failure.line)
    assert any(ply.effect == "turn lost" for ply in line[proof.failure.line.loop :])
