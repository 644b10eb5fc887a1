"""How likely a machine is to run through, where its failures come by the exponential law.

Such a machine fails as readily in its first running hour as in its hundredth, so that it runs for t hours without a
failure with the chance exp(-t / mean).  In T running hours the number of failures then follows Poisson's law with the
expectation T / mean, and from r failures in T hours comes an estimate T / r with an interval.

Source: NIST/SEMATECH e-Handbook of Statistical Methods, sections 8.1.6.1 (the exponential law) and 8.4.5.1 (estimate
and chi-square interval for the mean time between failures); the section numbers are from memory.  Quantiles of
chi-square with an even number of degrees of freedom solve Poisson sums, and are found so here.
"""

import math
from typing import NamedTuple

CONFIDENCE = 0.95


class Mean(NamedTuple):
    """A mean time between failures, in running hours.

    estimate: None where no failure was seen.  low, high: the ends of the interval at `CONFIDENCE`; both None where the
    mean was given and not estimated; high alone None where no failure was seen.
    """

    estimate: float | None
    low: float | None = None
    high: float | None = None

    @property
    def to_reckon_with(self) -> float:
        """Hours: the estimate, or the low end of the interval where there is none."""
        hours = self.low if self.estimate is None else self.estimate
        assert hours is not None
        return hours


def runs_through(hours: float, mean: float) -> float:
    """The chance that nothing fails for so many hours."""
    return math.exp(-hours / mean)


def estimated(failures: int, hours: float) -> Mean:
    """The mean from a record that was stopped after so many running hours (and not because of a failure)."""
    tail = (1 - CONFIDENCE) / 2
    most = _expectation(failures, tail)
    if not failures:
        return Mean(None, hours / most)
    return Mean(hours / failures, hours / most, hours / _expectation(failures - 1, 1 - tail))


def broken_off_at_most(count: int, games: int, finished: float) -> float:
    """The chance that of so many games at most `count` are broken off, each being finished with the same chance."""
    return math.fsum(
        math.comb(games, broken) * (1 - finished) ** broken * finished ** (games - broken)
        for broken in range(min(count, games) + 1)
    )


def _expectation(count: int, chance: float) -> float:
    """The expectation at which at most `count` failures have this chance: half a quantile of chi-square.

    The chance falls as the expectation grows, so the place is found by halving, until no number lies between.
    """
    low, high = 0.0, 1.0
    while _at_most(count, high) > chance:
        low, high = high, 2 * high
    while low < (middle := (low + high) / 2) < high:
        low, high = (middle, high) if _at_most(count, middle) > chance else (low, middle)
    return high


def _at_most(count: int, expectation: float) -> float:
    """Poisson's law: the chance of at most `count`.  By logarithms, for large terms would overflow."""
    logarithm = math.log(expectation)
    return math.fsum(
        math.exp(each * logarithm - expectation - math.lgamma(each + 1)) for each in range(count + 1)
    )
