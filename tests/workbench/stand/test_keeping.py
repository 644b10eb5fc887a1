"""How often to keep the state of play: against plain search, published formulas, and play drawn at random."""

import math

import numpy as np
import pytest
from scipy.optimize import minimize, minimize_scalar
from scipy.special import lambertw

from workbench.stand.keeping import (
    best_interval,
    best_stretches,
    first_order,
    game_in,
    share_lost,
    stretch,
)

CASES = [(1 / 180, 12.0), (1 / 60, 2.0), (0.25, 1.0), (1e-4, 1000.0), (1.0, 0.5)]
"""Hours that keeping takes, and the mean."""


@pytest.mark.parametrize(("cost", "mean"), CASES)
def test_the_best_interval_is_where_least_is_lost(cost, mean):
    found = best_interval(cost, mean)
    for restart in (0.0, 0.4):
        searched = minimize_scalar(
            lambda interval, restart=restart: share_lost(interval, cost, mean, restart),
            bounds=(mean * 1e-6, mean * 3),
            method="bounded",
            options={"xatol": mean * 1e-9},
        )
        assert found == pytest.approx(searched.x, rel=1e-3)
        assert share_lost(found, cost, mean, restart) <= searched.fun * (1 + 1e-12)


@pytest.mark.parametrize(("cost", "mean"), CASES)
def test_the_best_interval_by_the_closed_formula(cost, mean):
    """Lambert's function solves the same condition: u = 1 + W(-exp(-1 - cost / mean))."""
    assert best_interval(cost, mean) == pytest.approx(mean * (1 + lambertw(-math.exp(-1 - cost / mean)).real))


def test_the_first_order_formula_is_the_limit():
    """J. W. Young, Communications of the ACM 17 (1974) 530-531: sqrt(2 * cost * mean), where cost is small."""
    assert first_order(0.02, 4.0) == 0.4
    for cost in (1e-3, 1e-5, 1e-7):
        share = best_interval(cost, 1.0) / first_order(cost, 1.0)
        assert 1 - math.sqrt(cost) < share < 1


def test_the_time_of_a_stretch_by_its_own_law():
    """Either it is got through, or it fails at some moment, is started again and begun anew: an integral."""
    hours, mean, restart = 1.5, 4.0, 0.3
    moments = np.linspace(0, hours, 200_001)
    density = np.exp(-moments / mean) / mean
    lost = np.trapezoid(density * (moments + restart), moments)
    through = math.exp(-hours / mean)
    # The mean is what comes of going through at once, of a failure, and of all of it again after one.
    assert stretch(hours, mean, restart) == pytest.approx((through * hours + lost) / through, rel=1e-9)


@pytest.mark.parametrize("game", [0.05, 3.0, 20.0])
@pytest.mark.parametrize("cost", [0.001, 0.05, 0.5])
def test_no_other_number_of_stretches_is_better(game, cost):
    mean, restart = 4.0, 0.2
    best = best_stretches(game, cost, mean, restart)
    times = [game_in(number, game, cost, mean, restart) for number in range(1, 800)]
    assert best == 1 + times.index(min(times))


def test_stretches_of_other_lengths_are_not_better():
    """Three stretches of a game, the last without keeping, cut wherever a search likes."""
    game, cost, mean, restart = 3.0, 0.05, 4.0, 0.2

    def takes(cuts):
        first, second = cuts
        parts = (first + cost, second + cost, game - first - second)
        return sum(stretch(part, mean, restart) for part in parts)

    searched = minimize(takes, (0.8, 0.8), method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-12})
    assert game_in(3, game, cost, mean, restart) == pytest.approx(searched.fun, rel=1e-8)


def test_a_game_drawn_at_random_takes_as_long_as_reckoned():
    generator = np.random.default_rng(530)
    game, cost, mean, restart, number = 3.0, 0.05, 2.0, 0.2, 3
    length = (game + (number - 1) * cost) / number
    taken = []
    for _ in range(1500):
        hours = 0.0
        for _ in range(number):
            while (failure := generator.exponential(mean)) < length:
                hours += failure + restart
            hours += length
        taken.append(hours)
    off = np.mean(taken) - game_in(number, game, cost, mean, restart)
    assert abs(off) < 4 * np.std(taken) / math.sqrt(len(taken))


def test_a_game_that_can_hardly_be_finished_is_cut_all_the_same():
    assert stretch(1e6, 1.0, 0.0) == math.inf
    best = best_stretches(1000.0, 0.01, 0.5, 0.1)
    assert math.isfinite(game_in(best, 1000.0, 0.01, 0.5, 0.1))
