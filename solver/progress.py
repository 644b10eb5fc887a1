"""How far long work is: what the engines tell those who wait, and who turns it into words.

The engines never print.  They call a report with a `Progress` now and then: at the end of every ply or block of work,
never for a single position.
"""

from collections.abc import Callable
from typing import NamedTuple


class Stage(NamedTuple):
    """A part of the work on one game.

    name: what is done, in words.  is_last: whether nothing that takes long comes after it.  is_even: whether equal
    shares of it take about equal times, so that the time left can be judged.  may_end_early: whether the `total` of its
    reports is only the most that there can be to do.
    """

    name: str
    is_last: bool = False
    is_even: bool = True
    may_end_early: bool = False


class Progress(NamedTuple):
    """How far a stage is.

    done, total: in units of work of the engine's own; a total of 0 means that it is not known, and `done` then counts
    the plies.
    positions: how many have been found so far, or how many there are.  memory: how many bytes the work on this game
    takes at its greatest, results included, as far as is known; while positions are counted, at least so many.
    """

    stage: Stage
    done: int
    total: int
    positions: int
    memory: int = 0


Report = Callable[[Progress], None]
"""Told how far the work is."""

COUNTING = Stage("counting positions")
"""Nobody knows how many there are before they have been found: this stage never has a total."""


PLANNED = Stage("planned")
"""Told once, when it is known how much memory the work takes: before it begins, or when positions have been counted."""


def counted(plies: int, positions: int, memory: int = 0) -> Progress:
    """So many positions have been found in the first plies, and will take at least so many bytes."""
    return Progress(COUNTING, plies, 0, positions, memory)
