"""Best play as a strategy, against plain recursion."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.codes import DRAW
from games.house import load_house_rules
from games.load import load_game
from solver.best import BestMoves, prove_best
from solver.claims import CLAIM_CHECKS
from solver.engines import solve_game
from solver.meanings import LooksUp
from solver.proof import PROVED, prove
from solver.scores import solve_scores
from solver.strategy import Strategy, View
from solver.values import Values
from tests import naive, twins
from tests.naive_fill import Boxes


def allowed_in(solved, code, seat):
    """The moves that best play allows in one position, by name."""
    view = View(solved.game, np.array([code], dtype=np.uint64), seat)
    return [solved.game.move_names[move] for move in BestMoves(solved).allowed(view).move]


@given(st.data())
def test_moves_are_best_if_plain_recursion_finds_no_better_ones(data):
    pair = data.draw(twins.games(most_cells=6) | twins.falling_games(most_cells=6))
    seat = data.draw(st.integers(0, 1))
    housed = naive.Housed(pair.naive, naive.House(), seat)
    solved = solve_game(pair.game)
    for state in naive.every_state(housed, housed.next):
        if state.turn == seat and housed.result(state) is None:
            [code] = twins.codes_of(pair, [state.board], seat)
            best = [
                pair.naive.move_names[move]
                for move, child in sorted(housed.next(state).items())
                if housed.keeps("quickest", state, child)
            ]
            assert allowed_in(solved, code, seat) == best


@pytest.mark.parametrize("seat", [0, 1])
def test_where_moves_score_the_best_bring_the_most(seat):
    game, boxes = load_game("boxes-three-by-one"), Boxes(3, 1)
    solved = solve_scores(game)
    known = {}

    def worth(state):
        if state not in known:
            after = [gain + worth(child) for child, gain in boxes.moves(state).values()]
            known[state] = (max if state[1] == 0 else min)(after, default=0)
        return known[state]

    def look(state, code):
        if boxes.result(state) or code in seen:
            return
        seen.add(code)
        moves = boxes.moves(state)
        if state[1] == seat:
            best = {name for name, (child, gain) in moves.items() if gain + worth(child) == worth(state)}
            assert set(allowed_in(solved, code, seat)) == best
        legal = game.moves(np.array([code], dtype=np.uint64))
        for move, child in zip(legal.move.tolist(), legal.child.tolist(), strict=True):
            look(moves[game.move_names[move]][0], child)

    seen = set()
    look(boxes.start(), game.start)
    assert len(seen) == solved.positions - 2  # all lines drawn by either player


@pytest.mark.parametrize(
    ("name", "seat"), [("tapatan", 0), ("dodgem", 0), ("northcott", 0), ("boxes-two-by-two", 0)]
)
def test_it_holds_for_every_claim_whichever_best_move_is_played_also_where_play_could_go_round(name, seat):
    game = load_game(name)
    solved = solve_scores(game) if name.startswith("boxes") else solve_game(game)
    strategy = Strategy("best", "", game, seat, [BestMoves(solved)])
    for claim in CLAIM_CHECKS:
        assert prove(strategy, claim, load_house_rules("usual", game)).verdict == PROVED


class Mistaken:
    """Values according to which everything is a draw."""

    def __init__(self, game):
        self.game = game

    def look_up(self, codes):
        return Values(np.full(len(codes), DRAW, dtype=np.uint8), np.full(len(codes), -1, dtype=np.intp))


def test_values_that_are_wrong_are_found_out_by_the_proof():
    game = load_game("misere-noughts-and-crosses")
    house = load_house_rules("usual", game)
    for seat, reading in product((0, 1), ("plain", "turned")):
        proof = prove_best(solve_game(game), seat, reading, house)
        strategy = proof.walk.strategy
        assert (proof.verdict, proof.claim, proof.house) == (PROVED, "best-value", house)
        assert (strategy.name, strategy.file, strategy.game) == ("best play", "", game)
        assert (strategy.seat, strategy.choice) == (seat, reading)
        [rule] = strategy.rules
        assert (rule.text, rule.line, rule.stores_answers) == ("play a best move", 1, True)
        assert rule.meaning == LooksUp(is_turned=False)
    with pytest.raises(
        RuntimeError, match=r"^best play of misere-noughts-and-crosses is refuted \(plain, seat 0\)$"
    ):
        prove_best(Mistaken(game), 0, "plain", house)


def test_where_a_lost_turn_leads_beyond_fair_play_best_play_is_not_known():
    game = load_game("noughts-and-crosses")
    with pytest.raises(ValueError, match="fair play") as caught:
        prove_best(solve_game(game), 0, "plain", load_house_rules("lost-turn", game))
    assert str(caught.value) == (
        "a lost turn in noughts-and-crosses leads to boards that fair play never reaches, so best play is not known "
        "there; expected house rules that cost no turn"
    )
