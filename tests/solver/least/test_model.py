"""The integer program: every strategy is a point of it, what it says of one is true, and symmetries carry points."""

from itertools import pairwise

import numpy as np
import pytest

from games.codes import FIRST, SECOND
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.least.alike import symmetries_of
from solver.least.along import one_variable, sure_links
from solver.least.bound import Prover
from solver.least.choices import choices_of
from solver.least.model import model_of
from solver.least.narrow import always_met, narrowed
from solver.least.together import together
from tests.sampled import sampled

CASES = [
    ("noughts-and-crosses", FIRST, "usual", True),
    ("noughts-and-crosses", SECOND, "usual", False),
    ("noughts-and-crosses", SECOND, "three-warnings", True),
    ("nine-holes", SECOND, "usual", False),
    ("small-mu-torere", FIRST, "usual", False),
    ("kayles", FIRST, "usual", False),
]


def choices(name, seat, house, *, turned):
    game = load_game(name)
    return choices_of(HousedGame(game, load_house_rules(house, game), seat), "never-loses", turned=turned)


def followed(choices, picked):
    """The states that come with a pick on each board, and the steps made, state by state; None if one is barred."""
    after = {
        (int(s), int(p)): (step, choices.follow[choices.first[step] : choices.first[step + 1]].tolist())
        for step, (s, p) in enumerate(zip(choices.step_state, choices.step_pick, strict=True))
    }
    met, steps = set(choices.roots.tolist()), set()
    waiting = list(met)
    while waiting:
        state = waiting.pop()
        if (state, picked[choices.board[state]]) not in after:
            return None
        step, follow = after[state, picked[choices.board[state]]]
        steps.add(step)
        waiting.extend(set(follow) - met)
        met.update(follow)
    return met, steps


def some_strategies(choices, count):
    """Picks on every board, taken by chance, with what comes."""
    random = np.random.default_rng(1)
    bounds = np.searchsorted(choices.pick_board, np.arange(len(choices.boards) + 1))
    found = []
    while len(found) < count:
        picked = [int(random.integers(*pair)) for pair in pairwise(bounds)]
        come = followed(choices, picked)
        if come is not None:
            found.append((picked, *come))
    return found


def point_of(choices, model, picked, met):
    """The model's point for a strategy: 1 for the boards that come, the picks made there, and the states."""
    _, _, state = one_variable(choices, always_met(choices))
    point = np.zeros(len(model.lower), dtype=np.int64)
    boards = {int(choices.board[state]) for state in met}
    for board in boards:
        point[model.board[board]] = point[model.pick[picked[board]]] = 1
    point[state[sorted(met)]] = 1
    return point, boards


@pytest.mark.parametrize(("name", "seat", "house", "turned"), CASES)
def test_every_strategy_is_a_point_that_costs_its_answers(name, seat, house, turned):
    every = choices(name, seat, house, turned=turned)
    for weighed in (every, together(every), narrowed(together(every))):
        model = model_of(weighed)
        for picked, met, _ in some_strategies(weighed, 20):
            point, boards = point_of(weighed, model, picked, met)
            assert model.allows(point)
            assert model.cost @ point == len(boards)


@pytest.mark.parametrize(("name", "seat", "house", "turned"), CASES)
def test_what_is_said_to_come_for_certain_comes(name, seat, house, turned):
    weighed = narrowed(together(choices(name, seat, house, turned=turned)))
    steps, targets = sure_links(weighed, ~always_met(weighed))
    next_ones = np.repeat(np.arange(len(weighed.step_pick)), np.diff(weighed.first))
    assert len(set(zip(steps.tolist(), targets.tolist(), strict=True))) == len(steps)
    assert len(next_ones)
    for _, met, made in some_strategies(weighed, 20):
        assert all(
            target in met
            for step, target in zip(steps.tolist(), targets.tolist(), strict=True)
            if step in made
        )


@pytest.mark.parametrize(
    ("name", "seat", "house", "turned"),
    [CASES[0], CASES[2], CASES[4], ("mu-torere", FIRST, "usual", True)],
)
def test_nothing_that_comes_can_be_left_out(name, seat, house, turned):
    """Also where boards come round again: each is named by a row that does not lean on itself."""
    weighed = narrowed(together(choices(name, seat, house, turned=turned)))
    model = model_of(weighed)
    for picked, met, _ in some_strategies(weighed, 20):
        point, _ = point_of(weighed, model, picked, met)
        for variable in np.flatnonzero(point > model.lower):
            point[variable] = 0
            assert not model.allows(point)
            point[variable] = 1


@pytest.mark.parametrize(
    ("name", "seat", "count"),
    [("noughts-and-crosses", FIRST, 7), ("nine-holes", SECOND, 7), ("kayles", FIRST, 1)],
)
def test_symmetries_carry_points_to_points(name, seat, count):
    weighed = narrowed(choices(name, seat, "usual", turned=False))
    model = model_of(weighed)
    symmetries = symmetries_of(weighed, model)
    assert len(symmetries) == count
    for picked, met, _ in some_strategies(weighed, 5):
        point, boards = point_of(weighed, model, picked, met)
        for symmetry in symmetries:
            carried = np.zeros_like(point)
            carried[symmetry] = point
            assert model.allows(carried)
            assert model.cost @ carried == len(boards)


def test_boards_that_count_as_one_when_alike_have_no_symmetries_left():
    weighed = narrowed(choices("noughts-and-crosses", FIRST, "usual", turned=True))
    assert symmetries_of(weighed, model_of(weighed)) == []


@pytest.mark.parametrize(
    ("name", "seat", "figure"),
    sampled([("kayles", FIRST, 49), ("achi", FIRST, 65), ("hex-three", FIRST, 42)], every=3),
)
def test_with_symmetries_as_much_is_proved_and_no_more(name, seat, figure):
    weighed = narrowed(choices(name, seat, "usual", turned=False))
    model = model_of(weighed)
    symmetries = symmetries_of(weighed, model)
    assert symmetries
    for known in ([], symmetries):
        assert Prover(model, figure, symmetries=known).run().complete
        told = []
        certificate = Prover(model, figure + 1, symmetries=known).run(
            progress=lambda done, bound, told=told: told.append(bound) or len(told) < 40
        )
        assert not certificate.complete
        assert certificate.bound <= figure
