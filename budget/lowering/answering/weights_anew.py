"""Other weights for the same moves: those with which two kinds of lines are told by one bit of a line's number.

Any lines may be of either kind; marks count for small numbers, and what a line comes to is a place in one table.  On
every board the move has to be the first of the heaviest cells, and cells that win have to weigh more than all that are
ever taken otherwise.  For each table, the shortest first, whole numbers are looked for with HiGHS; what it finds is
checked, and of all tables the one is taken that comes first in the order of numbers, so that every computer takes it.
"""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from itertools import combinations
from math import comb
from typing import NamedTuple

import numpy as np

from budget.lowering.answering.weight_tables import Laid
from budget.lowering.answering.weights_listed import Boards, Numbers
from solver.least.model import Model, Whole

MOST_COUNT = 3
"""A mark counts at most so much, with either sign."""
RANGES = (8, 24)
"""The weights are at most so great; those of lines that win, and what tells them, may be ten times that."""
MOST_SPLITS = 100
"""Ways to make two kinds of the lines."""
MOST_PROGRAMS = 150
"""Systems of rows that are given to HiGHS at most."""


class Anew(NamedTuple):
    """A table, and how lines are told apart: in one of two ways.

    second, apart: the lines (their numbers) that are of the second kind, and by how much that begins behind the first;
    further: sets of cells that are listed behind the lines of the game.
    """

    laid: Laid
    second: tuple[int, ...] = ()
    apart: int = 0
    further: tuple[int, ...] = ()


class _Way(NamedTuple):
    """What marks count for, how far the kinds begin apart, which lines are of the second kind."""

    machine: int
    visitor: int
    apart: int
    second: tuple[int, ...]


@lru_cache(maxsize=16)
def found_anew(boards: Boards) -> Anew | None:
    """The shortest table that is found; None where there is none, or there are too many lines to try all kinds."""
    seen = _Seen(boards)
    ways = sorted(_ways(boards, seen), key=lambda each: each[0])
    for _, way in ways[:MOST_PROGRAMS]:
        found = seen.solved(way)
        if found is not None:
            return found
    return None


def _ways(boards: Boards, seen: "_Seen") -> Iterator[tuple[int, _Way]]:
    """The ways, each with the length of its table."""
    count = len(boards.lines)
    for apart in (1 << bit for bit in range(count.bit_length() - 1)):
        with_bit = sum(bool(number & apart) for number in range(-count, 0))
        if comb(count, with_bit) > MOST_SPLITS:
            continue
        for machine in range(1, MOST_COUNT + 1):
            for visitor in (*range(-MOST_COUNT, 0), *range(1, MOST_COUNT + 1)):
                for second in combinations(range(count), with_bit):
                    way = _Way(machine, visitor, apart, second)
                    length = seen.length(way)
                    if length is not None:
                        yield length, way


class _Seen:
    """What lines hold on the boards, and through which cells they go."""

    def __init__(self, boards: Boards) -> None:
        sets = np.array(boards.lines, dtype=np.int64)
        cells = np.arange(boards.cells)
        mine, visitors = (np.array(each, dtype=np.int64)[:, None] for each in (boards.mine, boards.visitors))
        self.boards = boards
        self.long = int(np.bitwise_count(sets).max())
        self.moves = np.array(boards.moves, dtype=np.int64)
        self.through = sets[:, None] >> cells & 1
        self.free = (mine | visitors) >> cells & 1 == 0
        self.holds_mine = np.bitwise_count(mine & sets).astype(np.int64)
        self.holds_visitors = np.bitwise_count(visitors & sets).astype(np.int64)
        self.counts = (sets & ~(mine | visitors)) != 0  # lines without a free cell are never asked for
        pairs = np.stack([self.holds_mine, self.holds_visitors], axis=2)
        self.contents = [
            {(int(one), int(other)) for one, other in pairs[self.counts[:, line], line]}
            for line in range(len(sets))
        ]

    def length(self, way: _Way) -> int | None:
        """Of the table; None if lines that win, or must be stopped, meet other contents in it."""
        held: dict[int, set[tuple[int, int]]] = {}
        for line, contents in enumerate(self.contents):
            for mine, visitors in contents:
                place = way.machine * mine + way.visitor * visitors + way.apart * (line in way.second)
                held.setdefault(place, set()).add((mine, visitors))
        alone = ((self.long - 1, 0), (0, self.long - 1))
        if any(len(each) > 1 and not each.isdisjoint(alone) for each in held.values()):
            return None
        return max(held) - min(held) + 1

    def solved(self, way: _Way) -> Anew | None:
        """The table of a way; None if there is none with small numbers."""
        kinds = np.array([line in way.second for line in range(len(self.boards.lines))], dtype=np.int64)
        places = way.machine * self.holds_mine + way.visitor * self.holds_visitors + way.apart * kinds
        least, most = int(places[self.counts].min()), int(places[self.counts].max())
        entry = np.arange(least, most + 1) == places[:, :, None]
        entry &= self.counts[:, :, None]
        sums = np.einsum("blp,lc->bcp", entry.astype(np.int64), self.through)
        rows, at_least = self._rows(sums)
        great = {way.machine * (self.long - 1) - least, way.machine * (self.long - 1) + way.apart - least}
        for most_weight in RANGES:
            bounds = [most_weight * (10 if place in great else 1) for place in range(sums.shape[2])]
            point = _first_point(rows, at_least, [*bounds, 10 * most_weight])
            if point is not None:
                laid = Laid(
                    way.machine,
                    way.visitor,
                    (-least, way.apart - least),
                    tuple(int(each) for each in point[:-1]),
                )
                return Anew(laid, way.second, way.apart)
        return None

    def _rows(self, sums: Numbers) -> tuple[Numbers, Numbers]:
        """Rows (over the entries of the table, and the least that a win weighs) and what each is to come to at least.

        sums: (boards, cells, entries) how often each entry is part of what a cell weighs.
        """
        numbers = np.arange(len(self.moves))
        chosen = sums[numbers, self.moves]
        others = self.free.copy()
        others[numbers, self.moves] = False
        board, cell = np.nonzero(others)
        compared = chosen[board] - sums[board, cell]
        parts = [(compared, 0, cell < self.moves[board]), (chosen, 0, np.zeros(len(chosen), dtype=np.bool_))]
        if self.boards.wins:
            wins = np.array(self.boards.wins)
            parts.append((chosen[wins], -1, np.zeros(wins.sum(), dtype=np.bool_)))
            parts.append((-chosen[~wins], 1, np.ones((~wins).sum(), dtype=np.bool_)))
        whole = np.concatenate(
            [np.column_stack([part, np.full(len(part), last), needs]) for part, last, needs in parts]
        )
        distinct = np.unique(whole.astype(np.int64), axis=0)
        return distinct[:, :-1], distinct[:, -1]


def _first_point(rows: Numbers, at_least: Numbers, bounds: Sequence[int]) -> Whole | None:
    """The point within bounds, of either sign, that keeps all rows and comes first in the order of numbers."""
    from solver.least.highs import minimise  # which takes a while to load, and is seldom wanted

    most = np.array(bounds, dtype=np.int64)
    model = _model(rows, at_least, -most, most)
    point = minimise(model).point
    for place in range(len(bounds)):
        if point is None or not model.allows(point):
            return None
        cost = np.zeros(len(bounds), dtype=np.int64)
        cost[place] = 1
        point = minimise(model._replace(cost=cost)).point
        if point is not None:
            model = model._replace(
                lower=np.where(cost == 1, point, model.lower), upper=np.where(cost == 1, point, model.upper)
            )
    return point if point is not None and model.allows(point) else None


def _model(rows: Numbers, at_least: Numbers, lower: Numbers, upper: Numbers) -> Model:
    """Rows as the solver takes them, nothing to be made least yet."""
    row, column = np.nonzero(rows)
    begins = np.concatenate([[0], np.cumsum(np.bincount(row, minlength=len(rows)))])
    none = np.zeros(0, dtype=np.int64)
    value = rows[row, column]
    return Model(begins, column, value, at_least, lower, upper, np.zeros_like(upper), none, none, none)
