"""Claims about strategies in a game in which moves score, against plain recursion on dots and boxes."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.house import load_house_rules
from games.load import load_game
from solver.meanings import LooksAhead
from solver.proof import PROVED, REFUTED, prove
from solver.search import SearchRule
from solver.strategy import Allowed, Strategy

GAME = load_game("boxes-three-by-one")
BOXES = load_game("boxes-two-by-two")
USUAL = load_house_rules("usual", GAME)


class Drawn:
    """A rule that allows a number of moves in each position, chosen once for all by a seed."""

    text, line, stores_answers = "drawn", 1, False

    def __init__(self, seed, most):
        self._seed, self._most = seed, most

    def moves(self, code, legal):
        chance = np.random.default_rng([self._seed, code % (1 << 32), code >> 32])
        return sorted(chance.choice(legal, size=min(len(legal), self._most), replace=False).tolist())

    def allowed(self, view):
        pairs = []
        for place, code in enumerate(view.codes.tolist()):
            legal = GAME.moves(np.array([code], dtype=np.uint64)).move
            pairs += [(place, move) for move in self.moves(code, sorted(legal.tolist()))]
        place, move = zip(*pairs, strict=True)
        return Allowed(np.array(place, dtype=np.intp), np.array(move, dtype=np.uint16))


@cache
def steps(code):
    """Each legal move with what it brings the first player and the position after it."""
    one = np.array([code], dtype=np.uint64)
    moves = GAME.moves(one)
    gains = GAME.gains(np.repeat(one, len(moves.move)), moves.move)
    return [(int(m), int(g), int(c)) for m, g, c in zip(moves.move, gains, moves.child, strict=True)]


def turn(code):
    return code >> 63


@cache
def is_over(code):
    return bool(GAME.ending(np.array([code], dtype=np.uint64))[0])


@cache
def best(code):
    """The difference to come under best play, first minus second."""
    if is_over(code):
        return 0
    brings = [gain + best(child) for _, gain, child in steps(code)]
    return max(brings) if turn(code) == 0 else min(brings)


def sure(code, seat, rule, known):
    """What the machine in `seat` is sure of, first minus second, when the visitor chooses all that is open.

    `known` takes up what is found for every position met.
    """
    if code not in known:
        options = [] if is_over(code) else steps(code)
        if options and turn(code) == seat:
            allowed = rule.moves(code, sorted(move for move, _, _ in options))
            options = [option for option in options if option[0] in allowed]
        brings = [gain + sure(child, seat, rule, known) for _, gain, child in options] or [0]
        known[code] = min(brings) if seat == 0 else max(brings)
    return known[code]


def said_of(end):
    """What a line comes to that leaves the machine so far ahead."""
    if end < 0:
        return f"the visitor ends {-end} ahead"
    return f"the machine ends {end} ahead, and could do better" if end else "nobody ends ahead"


@given(seed=st.integers(0, 10**6), most=st.integers(1, 3), seat=st.integers(0, 1))
def test_verdicts_are_those_of_plain_recursion(seed, most, seat):
    rule = Drawn(seed, most)
    sign = 1 if seat == 0 else -1
    known = {}
    is_sure = sign * sure(GAME.start, seat, rule, known)
    strategy = Strategy("drawn", "drawn", GAME, seat, [rule])
    proof = prove(strategy, "never-loses", USUAL)
    assert proof.verdict == (PROVED if is_sure >= 0 else REFUTED)
    if proof.verdict == REFUTED:
        assert proof.truth.standing(proof.failure.line).end == is_sure
        assert proof.truth.outcome(proof.failure.line) == f"the visitor ends {-is_sure} ahead"
    holds = all(difference == best(code) for code, difference in known.items())
    for claim in ("best-value", "quickest"):
        proof = prove(strategy, claim, USUAL)
        assert proof.verdict == (PROVED if holds else REFUTED)
        if not holds:
            end = proof.truth.standing(proof.failure.line).end
            assert proof.truth.outcome(proof.failure.line) == said_of(end)


@given(seed=st.integers(0, 10**6), seat=st.integers(0, 1))
def test_the_first_losing_decision_is_where_best_play_can_no_longer_help(seed, seat):
    proof = prove(Strategy("drawn", "drawn", GAME, seat, [Drawn(seed, 2)]), "never-loses", USUAL)
    decision = proof.decision()
    if decision is None:
        assert proof.verdict == PROVED or proof.truth.lost_from_start
        return
    sign = 1 if seat == 0 else -1
    graph, ahead = proof.walk.graph, 0
    for ply, edge in enumerate(proof.failure.line.edges):
        code, move = int(graph.codes[graph.parent[edge]]), int(graph.move[edge])
        brings = {m: sign * (gain + best(child)) for m, gain, child in steps(code)}
        if turn(code) == seat and ahead + max(brings.values()) >= 0 > ahead + brings[move]:
            assert (decision.ply, decision.move) == (ply, move)
            assert list(decision.better) == [
                m for m, brought in sorted(brings.items()) if ahead + brought >= 0
            ]
            return
        ahead += sign * next(gain for m, gain, _ in steps(code) if m == move)
    pytest.fail("no such decision on the line")


@pytest.mark.parametrize("seat", [0, 1])
def test_looking_to_the_end_never_gives_anything_away(seat):
    strategy = Strategy("s", "s", BOXES, seat, [SearchRule("look ahead", 1, LooksAhead(12))])
    assert prove(strategy, "best-value", load_house_rules("usual", BOXES)).verdict == PROVED


def test_what_can_never_be_said_of_the_result():
    strategy = Strategy("s", "s", BOXES, 0, [SearchRule("look ahead", 1, LooksAhead(12))])
    proof = prove(strategy, "never-loses", load_house_rules("usual", BOXES))
    assert proof.verdict == PROVED
    assert {"visitor-wins", "draw"} <= set(proof.never_said)
    assert "machine-wins" not in proof.never_said


def test_nobody_gets_away_by_losing_on_purpose():
    strategy = Strategy("s", "s", BOXES, 0, [SearchRule("look ahead", 1, LooksAhead(12))])
    assert prove(strategy, "never-loses", load_house_rules("three-warnings", BOXES)).verdict == PROVED
