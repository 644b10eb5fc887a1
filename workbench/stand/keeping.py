"""How often to keep the state of play, so that a failure costs little and keeping it does not cost more.

Play is cut into stretches, and at the end of each the state is kept: written on paper, punched, photographed.  A
failure throws play back to the last state kept.  Failures come by the exponential law, also while the state is being
kept; a restart takes a time of its own, during which nothing fails.  A stretch of s hours, keeping included, that is
begun again until it is got through takes (mean + restart) * (exp(s / mean) - 1) hours on average.

First order: J. W. Young, "A first order approximation to the optimum checkpoint interval", Communications of the
ACM 17 (1974) 530-531: sqrt(2 * cost * mean).  It is near the exact place where a stretch is short beside the mean.
"""

import math
from itertools import count

_LARGEST = 700.0
"""The largest power of e that a number holds, roughly."""


def first_order(cost: float, mean: float) -> float:
    """Hours of play between two keepings by Young's formula.  `cost`: the hours that keeping takes, above 0."""
    return math.sqrt(2 * cost * mean)


def best_interval(cost: float, mean: float) -> float:
    """Hours of play between two keepings that lose least, exactly; the time for a restart does not matter.

    For a share u = interval / mean the loss is least where ln(1 - u) + u + cost / mean = 0.  The left side falls from
    cost / mean at u = 0 without end, so halving finds the one place.
    """
    low, high = 0.0, 1.0
    while low < (middle := (low + high) / 2) < high:
        if math.log1p(-middle) + middle + cost / mean <= 0:
            high = middle
        else:
            low = middle
    return high * mean


def share_lost(interval: float, cost: float, mean: float, restart: float) -> float:
    """Hours lost for each hour of play, on average, when the state is kept after every `interval` hours of play."""
    return stretch(interval + cost, mean, restart) / interval - 1


def stretch(hours: float, mean: float, restart: float) -> float:
    """The hours that a stretch takes on average, begun again after each failure until it is got through."""
    power = hours / mean
    return math.inf if power > _LARGEST else (mean + restart) * math.expm1(power)


def best_stretches(game: float, cost: float, mean: float, restart: float) -> int:
    """Into how many stretches to cut a game of so many hours; 1 means to keep nothing until it is over.

    The last stretch ends with the game and needs no keeping.  For a number of stretches the time is least where all are
    equally long, keeping included.  That time first falls and then grows with their number, so the first number that
    the next does not beat is the best.
    """
    return next(
        number
        for number in count(1)
        if game_in(number, game, cost, mean, restart) <= game_in(number + 1, game, cost, mean, restart)
        and math.isfinite(game_in(number, game, cost, mean, restart))
    )


def game_in(number: int, game: float, cost: float, mean: float, restart: float) -> float:
    """The hours that a game takes on average, failures included, when it is cut into so many stretches."""
    return number * stretch((game + (number - 1) * cost) / number, mean, restart)
