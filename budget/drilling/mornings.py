"""Morning games: the fewest lines of play that show every fault that any line can show.

A fault that is there from before the start shows in a line if, at some input of it, the machine prints something else
than is due, or does not answer.  Each line is played from the start of the machine.  The fewest lines are a least set
cover: a greedy one, and the bound of HiGHS (https://highs.dev) beside it; where they meet, the cover is least as far as
floating point can tell.
"""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from budget.drilling.drill import Outcome
from budget.drilling.lines import START, Lines

SECONDS = 60.0
"""How long a smaller cover is looked for."""
MOST_TRIES = 20_000


class Morning(NamedTuple):
    """Lines for the morning.

    lines: the steps of each; shown: how many faults they show, which is as many as all lines do; hidden: how many
    faults no line shows; bound: no fewer lines will do.
    """

    lines: tuple[tuple[int, ...], ...]
    shown: int
    hidden: int
    bound: int

    @property
    def is_least(self) -> bool:
        """Whether the bound is reached."""
        return self.bound == len(self.lines)


def morning_of(lines: Lines, outcomes: Sequence[Outcome]) -> Morning:
    """The fewest lines for some faults, all of them there from before the start."""
    shown = [frozenset(each.step for each in outcome.shown) for outcome in outcomes]
    ways = [lines.way_to(number) for number, step in enumerate(lines.steps) if step.leads is None]
    visible = [steps for steps in shown if steps]
    wanted = {steps for steps in visible if START not in steps}  # what shows at the start shows in every line
    rows = sorted(_least(wanted), key=sorted)
    members = [frozenset(row for row, steps in enumerate(rows) if steps & set(way)) for way in ways]
    picked, bound = _cover(members, len(rows))
    if not picked and visible:
        picked, bound = [0], 1
    return Morning(
        tuple(tuple(ways[number]) for number in picked), len(visible), len(shown) - len(visible), bound
    )


def _least(wanted: set[frozenset[int]]) -> Iterator[frozenset[int]]:
    """Those that do not hold another: whoever shows the others shows these, too."""
    kept: list[frozenset[int]] = []
    for steps in sorted(wanted, key=lambda each: (len(each), sorted(each))):
        if not any(other <= steps for other in kept):
            kept.append(steps)
            yield steps


def _cover(members: Sequence[frozenset[int]], rows: int) -> tuple[list[int], int]:
    """Columns that have every row between them, as few as were found; and how many there must be."""
    if not rows:
        return [], 0
    greedy = _needed(_greedy(members, rows), members)
    point, bound = _by_highs(members, rows)
    if point is None or len(point) >= len(greedy):
        return sorted(greedy), bound
    return sorted(_tried(members, rows, len(point)) or point), bound


def _tried(members: Sequence[frozenset[int]], rows: int, most: int) -> list[int] | None:
    """The first cover of so many columns that trying finds: HiGHS's own may be another one on another computer."""
    having = [[column for column, each in enumerate(members) if row in each] for row in range(rows)]
    tries = 0

    def found(left: frozenset[int], picked: list[int]) -> list[int] | None:
        nonlocal tries
        tries += 1
        if not left:
            return picked
        if len(picked) == most or tries > MOST_TRIES:
            return None
        row = min(left, key=lambda each: (len(having[each]), each))
        for column in sorted(having[row], key=lambda each: (-len(members[each] & left), each)):
            cover = found(left - members[column], [*picked, column])
            if cover is not None:
                return cover
        return None

    return found(frozenset(range(rows)), [])


def _greedy(members: Sequence[frozenset[int]], rows: int) -> list[int]:
    """Always the column that has most of what is left, and of these the first."""
    left, picked = set(range(rows)), []
    while left:
        best = max(range(len(members)), key=lambda column: (len(members[column] & left), -column))
        picked.append(best)
        left -= members[best]
    return picked


def _needed(picked: Sequence[int], members: Sequence[frozenset[int]]) -> list[int]:
    """The columns without those that the others make unnecessary; the latest are asked first."""
    kept = list(picked)
    for column in reversed(picked):
        others = frozenset().union(*(members[other] for other in kept if other != column))
        if members[column] <= others:
            kept.remove(column)
    return kept


def _by_highs(members: Sequence[frozenset[int]], rows: int) -> tuple[list[int] | None, int]:
    """A cover that keeps every row, checked in whole numbers; and HiGHS's bound."""
    from solver.least.highs import minimise
    from solver.least.model import Model

    columns = [[column for column, each in enumerate(members) if row in each] for row in range(rows)]
    starts = np.cumsum([0, *map(len, columns)])
    flat = np.array([column for each in columns for column in each], dtype=np.intp)
    ones, none = np.ones(len(members), dtype=np.int64), np.zeros(0, dtype=np.intp)
    model = Model(
        starts.astype(np.intp),
        flat,
        np.ones(len(flat), dtype=np.int64),
        np.ones(rows, dtype=np.int64),
        0 * ones,
        ones,
        ones,
        none,
        none,
        none,
    )
    found = minimise(model, SECONDS)
    bound = math.ceil(found.bound - 1e-6)
    if found.point is None or not model.allows(found.point):
        return None, bound
    return np.flatnonzero(found.point).tolist(), bound
