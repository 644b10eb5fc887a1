"""Looking ahead: the least of the best moves by plain minimax, and perfect play at full depth."""

from functools import cache

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from games.codes import UNFINISHED, by_parent
from games.house import load_house_rules
from games.load import load_game
from solver.graph import explore
from solver.meanings import LooksAhead
from solver.proof import prove
from solver.search import SearchRule
from solver.strategy import View
from tests import naive, twins
from tests.solver.test_choices import answers_by_board
from tests.solver.test_rules import LONGER

PERFECT = [
    ("noughts-and-crosses", 9),
    ("misere-noughts-and-crosses", 9),
    ("two-by-two", 4),
    ("plain-rows", 9),
]


@given(st.data())
def test_looking_ahead_is_plain_minimax_of_that_depth(data):
    pair = data.draw(st.sampled_from(LONGER) | twins.games(most_cells=9))
    seat, plies = data.draw(st.integers(0, 1)), data.draw(st.integers(1, 6))
    size, free = pair.game.board.size, data.draw(st.integers(1, 5))
    cells = data.draw(st.permutations(range(size)))
    signs = data.draw(st.lists(st.sampled_from("FS"), min_size=size, max_size=size))
    for cell in cells[:free]:
        signs[cell] = naive.FREE
    board = "".join(signs)
    if pair.naive.result(board) is None:
        strategy, model = twins.strategy_twins(pair, seat, [f"look ahead {plies} plies"])
        assert answers_by_board(pair, strategy, [board]) == [model.answer(board)]


@pytest.mark.parametrize(("name", "plies"), PERFECT)
@pytest.mark.parametrize("seat", [0, 1])
def test_looking_ahead_to_the_end_plays_as_well_and_as_quickly_as_can_be(name, plies, seat):
    pair = twins.catalogue_twins(name)
    strategy, _ = twins.strategy_twins(pair, seat, [f"look ahead {plies} plies"])
    for claim in ("best-value", "quickest"):
        assert prove(strategy, claim, load_house_rules("usual", pair.game)).verdict == "proved"


def test_looking_ahead_knows_no_house_rules():
    """Under fair rules it draws; it does not see that a lost turn can be used against it."""
    pair = twins.catalogue_twins("misere-noughts-and-crosses")
    house = twins.house_twins(pair.game, [(["empty"], "turn", 0)]).rules
    strategy, _ = twins.strategy_twins(pair, 0, ["look ahead 9 plies"])
    assert prove(strategy, "never-loses", load_house_rules("usual", pair.game)).verdict == "proved"
    assert prove(strategy, "never-loses", house).verdict == "refuted"


def test_a_nearer_win_and_a_farther_loss_are_better():
    pair = twins.twins_in_a_row(3, 3, 3)
    strategy, _ = twins.strategy_twins(pair, 0, ["look ahead 9 plies"])
    #   F F .     cell 2 wins at once; others would win later
    #   . S .
    #   . . S
    assert answers_by_board(pair, strategy, ["FF..S...S"]) == [(0, [2])]
    # The second player has three threats: every move loses, and blocking the nearest line does not help more.
    late = answers_by_board(pair, strategy, ["S.S.S.F.F"])
    assert late == [(0, [7])]


@pytest.mark.parametrize("plies", [1, 2, 3, 5])
def test_where_moves_score_only_what_so_many_plies_bring_counts(plies):
    """The least of the moves that bring the machine most, by plain recursion, a position at a time."""
    game = load_game("boxes-three-by-one")

    @cache
    def steps(code):
        one = np.array([code], dtype=np.uint64)
        _, moves, after = by_parent(game.moves(one))
        gains = game.gains(np.repeat(one, len(moves)), moves)
        return list(zip(moves.tolist(), gains.tolist(), after.tolist(), strict=True))

    @cache
    def turn(code):
        return int(game.mover(np.array([code], dtype=np.uint64))[0])

    @cache
    def brings(code, left):
        if not left or not steps(code):
            return 0
        best = max if turn(code) == 0 else min
        return best(gain + brings(after, left - 1) for _, gain, after in steps(code))

    codes = explore(game).codes
    open_codes = codes[game.ending(codes) == UNFINISHED]
    for seat in (0, 1):
        mine = open_codes[game.mover(open_codes) == seat]
        found = SearchRule("look ahead", 1, LooksAhead(plies)).allowed(View(game, mine, seat))
        assert found.place.tolist() == list(range(len(mine)))
        best = max if seat == 0 else min
        for code, move in zip(mine.tolist(), found.move.tolist(), strict=True):
            worth = {each: gain + brings(after, plies - 1) for each, gain, after in steps(code)}
            assert move == min(each for each in worth if worth[each] == best(worth.values()))
