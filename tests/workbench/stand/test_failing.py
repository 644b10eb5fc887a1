"""The exponential law and the interval for its mean, against scipy, a published table, and plain sums."""

import math

import numpy as np
import pytest
from scipy.stats import binom, chi2, expon

from workbench.stand.failing import Mean, broken_off_at_most, estimated, runs_through

# NIST/SEMATECH e-Handbook of Statistical Methods, 8.4.5.1, the table of multipliers of the estimate (of the running
# hours where nothing failed) for a two-sided interval at 95 %; figures and section number from memory.
MULTIPLIERS = {0: (0.2711, None), 1: (0.1795, 39.4978), 2: (0.2768, 8.2573), 3: (0.3422, 4.8491)}


@pytest.mark.parametrize("failures", list(MULTIPLIERS))
def test_the_multipliers_of_the_handbook(failures):
    hours = 1000.0
    unit = hours / max(failures, 1)
    mean = estimated(failures, hours)
    low, high = MULTIPLIERS[failures]
    assert mean.low / unit == pytest.approx(low, abs=1e-4)
    assert (mean.high is None) == (high is None)
    if high is not None:
        assert mean.high / unit == pytest.approx(high, abs=1e-4)
    assert mean.estimate == (hours / failures if failures else None)


@pytest.mark.parametrize("failures", [0, 1, 2, 7, 40, 900])
def test_the_interval_is_that_of_chi_square(failures):
    mean = estimated(failures, 12.5)
    assert mean.low == pytest.approx(25 / chi2.ppf(0.975, 2 * failures + 2), rel=1e-9)
    if failures:
        assert mean.high == pytest.approx(25 / chi2.ppf(0.025, 2 * failures), rel=1e-9)
        assert mean.low < mean.estimate < mean.high


def test_what_a_mean_is_reckoned_with():
    assert Mean(12.0).to_reckon_with == 12
    assert estimated(2, 40).to_reckon_with == 20
    assert estimated(0, 40).to_reckon_with == estimated(0, 40).low


@pytest.mark.parametrize(("hours", "mean"), [(0.1, 12.0), (5.0, 12.0), (36.0, 12.0), (1.0, 1.0)])
def test_the_chance_to_run_through_is_the_law_itself(hours, mean):
    assert runs_through(hours, mean) == pytest.approx(expon.sf(hours, scale=mean))


def test_a_mean_of_twelve_hours_in_plain_figures():
    """Six minutes of twelve hours: one part in 120, and 1 - 1/120 is nearly all of it."""
    assert runs_through(0.1, 12) == pytest.approx(1 - 1 / 120, abs=1 / 120**2)


@pytest.mark.parametrize("games", [1, 2, 40, 1000])
def test_games_that_are_broken_off_follow_the_binomial_law(games):
    for finished in (0.5, 0.992, 1.0):
        found = [broken_off_at_most(count, games, finished) for count in range(3)]
        assert found == pytest.approx([binom.cdf(count, games, 1 - finished) for count in range(3)])
    assert broken_off_at_most(games + 5, games, 0.3) == pytest.approx(1)


def test_the_interval_holds_the_true_mean_as_often_as_it_says():
    """Not sampled: the chance of each number of failures by Poisson's law, and whether its interval is right then."""
    hours, mean = 100.0, 12.0
    expected = hours / mean
    covered = 0.0
    for failures in range(60):
        chance = math.exp(failures * math.log(expected) - expected - math.lgamma(failures + 1))
        found = estimated(failures, hours)
        if found.low <= mean <= (found.high or math.inf):
            covered += chance
    assert 0.95 <= covered < 0.99


def test_failures_that_come_at_random_are_as_many_as_the_law_says():
    """The law itself, by drawing times between failures: games begun one after another, each failing or not."""
    draws = np.random.default_rng(1948).exponential(12.0, 200_000)
    assert (draws > 0.5).mean() == pytest.approx(runs_through(0.5, 12), abs=0.001)
