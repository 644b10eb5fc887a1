"""The odds of a day: what a mean time between failures makes of one game, of all of them, and of keeping the state."""

from typing import Any, NamedTuple

from workbench.stand.failing import Mean, broken_off_at_most, runs_through
from workbench.stand.keeping import best_interval, best_stretches, first_order, game_in, share_lost, stretch

FIGURES = 6
"""Significant figures in JSON: fewer than a processor could make different."""
MOST_BROKEN = 2


class Source(NamedTuple):
    """Where the mean comes from: in words, and the record behind it if there is one (failures, running hours)."""

    mean: Mean
    words: str
    failures: int | None = None
    hours: float | None = None


class Day(NamedTuple):
    """What is asked; None for what is not.

    game: hours that a game takes; games: how many there are; running: hours for which the machine runs that day;
    restart: hours that a restart takes; keeping: hours that it takes to keep the state of play.
    """

    game: float
    games: int | None = None
    running: float | None = None
    restart: float = 0.0
    keeping: float | None = None


class Chance(NamedTuple):
    """A chance in words, by the estimate, and at both ends of the interval; None where there is no such figure."""

    what: str
    estimate: float | None
    low: float | None
    high: float | None


def chances(mean: Mean, day: Day) -> list[Chance]:
    """The chances that are asked for."""
    asked = [("one game is finished", day.game)]
    if day.games is not None:
        asked.append((f"all {day.games:,} games are finished", day.game * day.games))
    if day.running is not None:
        asked.append((f"no failure in {day.running:g} running hours", day.running))
    return [_chance(what, hours, mean) for what, hours in asked]


def _chance(what: str, hours: float, mean: Mean) -> Chance:
    """At the high end nothing may ever fail: where no failure was seen, the mean has no upper limit."""
    estimate, low, high = (None if each is None else runs_through(hours, each) for each in mean)
    return Chance(what, estimate, low, 1.0 if low is not None and high is None else high)


def broken_off(mean: Mean, day: Day) -> list[float]:
    """The chances that at most 0, 1 and 2 games of the day are broken off; nothing where games are not asked for."""
    if day.games is None:
        return []
    finished = runs_through(day.game, mean.to_reckon_with)
    return [
        broken_off_at_most(count, day.games, finished) for count in range(min(MOST_BROKEN, day.games) + 1)
    ]


def hours_of_all(mean: Mean, day: Day) -> float | None:
    """How long all games take on average when each that fails is begun again; None where games are not asked for."""
    return None if day.games is None else day.games * stretch(day.game, mean.to_reckon_with, day.restart)


class Advice(NamedTuple):
    """How often to keep the state of play; hours, and shares of the time of play.

    interval: of play between two keepings, where play goes on without end; young: the same by the first-order formula;
    lost: the share that is lost then.  stretches: into how many to cut a game; game: what one takes on average, cut so,
    and whole: not cut at all, begun again after every failure.
    """

    interval: float
    young: float
    lost: float
    stretches: int
    game: float
    whole: float


def advice(mean: Mean, day: Day) -> Advice | None:
    """How often to keep the state of play so that least time is lost; None where that is not asked for."""
    if day.keeping is None:
        return None
    hours, cost, restart = mean.to_reckon_with, day.keeping, day.restart
    interval = best_interval(cost, hours)
    stretches = best_stretches(day.game, cost, hours, restart)
    return Advice(
        interval,
        first_order(cost, hours),
        share_lost(interval, cost, hours, restart),
        stretches,
        game_in(stretches, day.game, cost, hours, restart),
        stretch(day.game, hours, restart),
    )


def rounded(value: float | None) -> float | None:
    """A figure for JSON, with no more digits than every machine agrees on; None for what is without end."""
    return None if value is None or value == float("inf") else float(f"{value:.{FIGURES}g}")


def odds_record(mean: Mean, day: Day) -> dict[str, Any]:
    """The odds by their JSON keys."""
    advised = advice(mean, day)
    return {
        "mean_hours": {end: rounded(hours) for end, hours in mean._asdict().items()},
        "minutes_a_game": rounded(60 * day.game),
        "games": day.games,
        "day_hours": day.running,
        "chances": [
            {"what": each.what, **{end: rounded(getattr(each, end)) for end in ("estimate", "low", "high")}}
            for each in chances(mean, day)
        ],
        "broken_off_at_most": [rounded(each) for each in broken_off(mean, day)],
        "hours_of_all_games": rounded(hours_of_all(mean, day)),
        "keeping": None
        if advised is None
        else {
            "minutes_of_play_between": rounded(60 * advised.interval),
            "first_order_minutes": rounded(60 * advised.young),
            "share_lost": rounded(advised.lost),
            "times_a_game": advised.stretches - 1,
            "minutes_of_a_game": rounded(60 * advised.game),
            "minutes_of_a_game_without": rounded(60 * advised.whole),
        },
    }
