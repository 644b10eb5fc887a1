"""Dominated picks: against every pair of picks compared as sets; and what is left where there is no time for it."""

from itertools import pairwise

import numpy as np
import pytest

from games.codes import FIRST, SECOND
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.least import narrow
from solver.least.choices import choices_of
from solver.least.highs import minimise
from solver.least.model import model_of
from solver.least.narrow import narrowed, restricted
from solver.least.together import together


def choices(name, seat, house, *, turned):
    game = load_game(name)
    return choices_of(HousedGame(game, load_house_rules(house, game), seat), "never-loses", turned=turned)


def naive_narrowed(weighed):
    while True:
        fewer = restricted(weighed, ~np.array(naive_dominated(weighed)))
        if len(fewer.pick_board) == len(weighed.pick_board):
            return fewer
        weighed = fewer


def naive_dominated(weighed):
    """For each pick whether another of its board covers it; of two that cover each other the first stays."""
    leads = [{} for _ in weighed.pick_board]
    steps = zip(weighed.step_state.tolist(), weighed.step_pick.tolist(), strict=True)
    for (state, pick), (begin, end) in zip(steps, pairwise(weighed.first), strict=True):
        leads[pick][state] = set(weighed.follow[begin:end].tolist())
    boards = weighed.pick_board.tolist()
    return [
        any(
            boards[other] == boards[pick]
            and other != pick
            and covers(leads[other], leads[pick])
            and (other < pick or not covers(leads[pick], leads[other]))
            for other in range(len(leads))
        )
        for pick in range(len(leads))
    ]


def covers(better, worse):
    return all(state in better and better[state] <= after for state, after in worse.items())


@pytest.mark.parametrize(
    ("name", "seat", "house", "turned"),
    [
        ("noughts-and-crosses", SECOND, "usual", True),
        ("hexapawn", SECOND, "three-warnings", True),
        ("mu-torere", FIRST, "usual", True),
        ("kayles", FIRST, "usual", False),
    ],
)
@pytest.mark.parametrize("at_once", [7, 2_000])
def test_what_need_not_be_weighed(name, seat, house, turned, at_once, monkeypatch):
    monkeypatch.setattr(narrow, "STATES_AT_ONCE", at_once)
    every = choices(name, seat, house, turned=turned)
    for one, other in zip(narrowed(every)[2:], naive_narrowed(every)[2:], strict=True):
        assert np.array_equal(one, other)


@pytest.mark.parametrize("looks", [0, 3])
def test_where_it_does_not_go_on_the_fewest_answers_are_the_same(looks, monkeypatch):
    monkeypatch.setattr(narrow, "STATES_AT_ONCE", 40)
    left = [True] * looks
    every = together(choices("noughts-and-crosses", SECOND, "usual", turned=True))
    fewer = narrowed(every, lambda: bool(left) and left.pop())
    assert len(narrowed(every).pick_board) < len(fewer.pick_board) <= len(every.pick_board)
    assert (len(fewer.pick_board) == len(every.pick_board)) == (looks == 0)
    assert minimise(model_of(fewer)).bound == pytest.approx(71)
