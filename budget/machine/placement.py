"""Where single words lie on a store that turns, so that least is waited for them.

How long an instruction takes depends on the word that it works on, and on nothing else that could be moved: the
places of instructions are given.  So each word has a price at each address, and to give every word an address of
its own at the least price in all is the assignment problem, which has an exact solution.
"""

from collections.abc import Collection, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from budget.machine.orders import Order
from budget.machine.pace import Pace

Prices = npt.NDArray[np.int64]


class Use(NamedTuple):
    """An instruction that works on a word: its order, the last word that it lies in, the next one, and how often."""

    order: Order
    last_word: int
    next_word: int
    times: int


def best_addresses(uses: Sequence[Sequence[Use]], free: Sequence[int], pace: Pace) -> list[int]:
    """For each word, of which the uses are given, one of the free addresses; least waiting in all.

    Words that nothing uses get what is left over.  `free` must be as long as `uses` at the least.
    """
    if pace.turning is None or not uses:
        return list(free[: len(uses)])
    words, spacing = pace.turning.words, pace.turning.spacing
    by_angle: list[list[int]] = [[] for _ in range(words)]
    for address in free:
        by_angle[address * spacing % words].append(address)
    prices = [[sum(cycles(use, angle, pace) for use in each) for angle in range(words)] for each in uses]
    candidates = sorted({address for each in prices for address in _cheapest(each, by_angle, len(uses))})
    angles = [address * spacing % words for address in candidates]
    chosen = assigned(np.array(prices, dtype=np.int64)[:, angles])
    return [candidates[column] for column in chosen]


def _cheapest(prices: Sequence[int], by_angle: Sequence[Sequence[int]], count: int) -> Collection[int]:
    """The `count` cheapest addresses of a word: it never needs another, since the others take at most the rest."""
    found: list[int] = []
    for angle in sorted(range(len(prices)), key=lambda angle: prices[angle]):
        found.extend(by_angle[angle][: count - len(found)])
        if len(found) == count:
            break
    return found


def cycles(use: Use, angle: int, pace: Pace) -> int:
    """From when an instruction has passed until the next has, if the word that it works on is at this angle."""
    assert pace.turning is not None
    turning = pace.turning
    now = begin = turning.angle(use.last_word) + 1
    for _ in range(2 if use.order.name == "count" else 1):
        now += (angle - now) % turning.words + 1
    now += pace.cycles[use.order.name]
    now += turning.wait(now, use.next_word) + 1
    return (now - begin) * use.times


def assigned(prices: Prices) -> list[int]:
    """For each row of prices, shape (n, m) with n <= m, a column of its own; the least sum of prices.

    The Hungarian method (H. W. Kuhn, Naval Research Logistics Quarterly 2, 1955, pages 83-97) row by row with shortest
    augmenting paths.  Invariant: prices less the potentials of row and column are never negative, and 0 where assigned.
    """
    rows, columns = prices.shape
    row_of = np.full(columns, -1)
    row_potential = np.zeros(rows, dtype=np.int64)
    column_potential = np.zeros(columns, dtype=np.int64)
    unreached = np.iinfo(np.int64).max
    for begin in range(rows):
        distance = np.full(columns, unreached)
        before = np.full(columns, -1)
        done = np.zeros(columns, dtype=np.bool_)
        row, last, spent = begin, -1, 0
        while True:
            reduced = spent + prices[row] - row_potential[row] - column_potential
            better = ~done & (reduced < distance)
            distance[better] = reduced[better]
            before[better] = last
            last = int(np.argmin(np.where(done, unreached, distance)))
            spent = int(distance[last])
            done[last] = True
            if row_of[last] < 0:
                break
            row = int(row_of[last])
        row_potential[begin] += spent
        on_path = np.flatnonzero(done)
        kept = on_path[row_of[on_path] >= 0]
        row_potential[row_of[kept]] += spent - distance[kept]
        column_potential[on_path] -= spent - distance[on_path]
        while last >= 0:
            previous = int(before[last])
            row_of[last] = begin if previous < 0 else row_of[previous]
            last = previous
    column_of = np.empty(rows, dtype=np.intp)
    taken = np.flatnonzero(row_of >= 0)
    column_of[row_of[taken]] = taken
    return [int(column) for column in column_of]
