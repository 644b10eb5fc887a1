"""The trade of store against time: the ways that none beats in both, and which of them to take."""

from collections.abc import Iterable
from typing import NamedTuple

from budget.card import CostCard
from budget.plan.ahead import Helpers
from budget.plan.asked import Asked, Candidate
from budget.plan.ways import Told, Tried, Way, built_ways, unbeaten


class Plan(NamedTuple):
    """What was found.

    ways: everything that was built, fitting or not; left_behind: how many forms were not built all the way, because
    another was both shorter and as quick; reason: why there is no program, where `ways` is empty; tradeoffs: the ways
    that fit and that no other beats both in words and in waiting (`budget.plan.noticing`), the fewest words first;
    best: of these the smallest that answers in time, None if none does; nearest: where none is the best, the one that
    comes nearest.
    """

    ways: tuple[Way, ...]
    left_behind: int
    reason: str
    tradeoffs: tuple[Way, ...]
    best: Way | None
    nearest: Way | None

    @property
    def tried(self) -> int:
        """How many programs were built."""
        return len(self.ways)


def plan(
    asked: Asked,
    found: Iterable[Candidate],
    card: CostCard,
    within: float | None = None,
    told: Told = lambda what, least: True,
    helpers: Helpers | None = None,
) -> Plan:
    """Build the candidates in every form that is worth it, prove each, and compare.

    within: seconds in which every answer has to come; helpers: other processes, which change nothing but the time.
    """
    return compared(built_ways(asked, found, card, told, helpers, within), within)


def compared(tried: Tried, within: float | None = None) -> Plan:
    """What to make of ways that have been built."""
    tradeoffs = tuple(unbeaten(tried.ways, within))
    best = next((way for way in tradeoffs if within is None or way.wait <= within), None)
    return Plan(*tried, tradeoffs, best, None if best else _nearest(tradeoffs, tried.ways))


def _nearest(tradeoffs: tuple[Way, ...], ways: tuple[Way, ...]) -> Way | None:
    """The way that misses by least: in time, if some fit, else in words."""
    if tradeoffs:
        return min(tradeoffs, key=lambda way: way.wait)
    return min(ways, key=lambda way: way.words, default=None)
