"""The odds of a day in plain lines."""

import math

from workbench.output import plural, say, say_lines, table
from workbench.stand.failing import Mean
from workbench.stand.odds import Advice, Day, Source, advice, broken_off, chances, hours_of_all

FOR_EVER = 1_000_000
"""Hours."""


def tell_odds(source: Source, day: Day) -> None:
    """The odds in plain lines, the mean first."""
    mean = source.mean
    if mean.estimate is None:
        say(
            f"Mean time between failures: no estimate {source.words}. It is {mean.low:,.3g} hours or more, "
            "or the record was an unlucky one (95 %)."
        )
    else:
        say(f"Mean time between failures: {mean.estimate:,.4g} running hours, {source.words}.")
        if mean.low is not None and mean.high is not None:
            say(f"It lies between {mean.low:,.3g} and {mean.high:,.3g} hours, with 95 % confidence.")
    say(f"A game takes {day.game * 60:,.3g} minutes.")
    say()
    say_lines(_chance_lines(mean, day))
    _tell_broken(mean, day)
    advised = advice(mean, day)
    if advised is not None:
        say()
        _tell_keeping(advised, day)
    if mean.estimate is None and (advised is not None or day.games is not None):
        say("This is reckoned with the least mean that the record allows.")


def _chance_lines(mean: Mean, day: Day) -> list[str]:
    found = chances(mean, day)
    if mean.low is None:
        return table(("", "chance"), [(each.what, percent(each.estimate)) for each in found], right=(1,))
    rows = [(each.what, percent(each.low), percent(each.estimate), percent(each.high)) for each in found]
    return table(("", "at worst", "estimate", "at best"), rows, right=(1, 2, 3))


def _tell_broken(mean: Mean, day: Day) -> None:
    shares = broken_off(mean, day)
    if len(shares) > 1 and day.games is not None:
        told = ", ".join(f"{count} or fewer: {percent(share)}" for count, share in enumerate(shares) if count)
        say()
        say(f"Games of the day that are broken off: none: {percent(shares[0])}, {told}.")
    hours = hours_of_all(mean, day)
    if hours is not None:
        say(
            f"All of them, begun again where they fail, take {_minutes(hours)} on average, restarts included."
        )


def _tell_keeping(advised: Advice, day: Day) -> None:
    say(
        f"Keep the state of play every {_minutes(advised.interval)} of play (by the first-order formula: "
        f"{_minutes(advised.young)}). What is then lost, by keeping, restarts and playing again, is "
        f"{percent(advised.lost)} of the time of play."
    )
    if advised.stretches == 1:
        say(
            f"In a game of {_minutes(day.game)} that is not worth its while: with what fails it takes "
            f"{_minutes(advised.whole)} on average. Keep the state between games."
        )
        return
    say(
        f"In a game of {_minutes(day.game)} that is {plural(advised.stretches - 1, 'time')}: it then takes "
        f"{_minutes(advised.game)} on average, and {_minutes(advised.whole)} when it has to begin again each time."
    )


def _minutes(hours: float) -> str:
    """Hours in the unit that people would use."""
    if math.isinf(hours) or hours > FOR_EVER:
        return "practically for ever"
    if hours >= 2:
        return f"{hours:,.3g} h" if hours < 1000 else f"{hours:,.0f} h"
    return f"{hours * 60:.3g} min" if hours * 60 >= 2 else f"{hours * 3600:.3g} s"


def percent(chance: float | None) -> str:
    """A chance with one digit behind the point; what is not quite 0 or 100 does not look so."""
    if chance is None:
        return "-"
    if 0 < chance < 0.0005:
        return "under 0.1 %"
    if 0.9995 < chance < 1:
        return "over 99.9 %"
    return f"{100 * chance:,.1f} %"
