"""Where the positions of a game graph stand in its picture: a column for each ply, few crossings, short lines.

The steps that everybody takes who draws graphs in layers (common practice).  A line that passes over columns is cut
into pieces from one column to the next, and where it crosses a column a *pass* keeps a narrow gap free for it.
Then the order within each column: sweep back and forth, each time sorting a column by where its neighbours in the
column before stand, and keep the order with the fewest crossings.  Then the heights: sweep again, and put everything
as near to the middle of its neighbours as order and room permit.  All is plain arithmetic in a fixed order, so that
the same graph gives the same picture everywhere.
"""

from bisect import bisect_right, insort
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import NamedTuple

ORDER_SWEEPS = 24
HEIGHT_SWEEPS = 30
PASS_SIZE = 0.2
"""How much room a pass needs, beside a position's 1."""
PASS_WEIGHT = 4
"""How much straighter a line is kept between two passes."""


class Line(NamedTuple):
    """A line between two positions, from the left to the right; a heavy one is kept straight."""

    left: int
    right: int
    weight: int


class Layout(NamedTuple):
    """Heights, from 0 downwards, and for each line (by its two ends) the passes on its way, by their numbers."""

    height: dict[int, float]
    passes: dict[tuple[int, int], list[int]]


Columns = list[list[int]]
Weights = dict[int, list[tuple[int, int]]]
"""For each position or pass its neighbours on one side, and how heavy the lines to them are."""


def laid_out(columns: Sequence[Sequence[int]], lines: Sequence[Line]) -> Layout:
    """The heights of the positions (numbers from 0) in these columns; two of one column are at least 1 apart.

    Passes have numbers below 0.
    """
    filled, passes, pieces = with_passes(columns, lines)
    to_the_left, to_the_right = neighbours(filled, pieces)
    ordered = in_order(filled, to_the_left, to_the_right)
    height = {node: float(place) for column in ordered for place, node in enumerate(column)}
    for sweep in range(HEIGHT_SWEEPS):
        is_forward = sweep % 2 == 0
        near = to_the_left if is_forward else to_the_right
        for column in ordered if is_forward else ordered[::-1]:
            wished = [middle(near[node], height, height[node]) for node in column]
            height |= dict(zip(column, spread(wished, [_size(node) for node in column]), strict=True))
    least = min(height.values())
    return Layout({node: value - least for node, value in height.items()}, passes)


def _size(node: int) -> float:
    return PASS_SIZE if node < 0 else 1.0


def with_passes(
    columns: Sequence[Sequence[int]], lines: Sequence[Line]
) -> tuple[Columns, dict[tuple[int, int], list[int]], list[Line]]:
    """The columns with their passes, the passes of each line, and the pieces of all lines."""
    filled = [list(column) for column in columns]
    column_of = {node: number for number, column in enumerate(columns) for node in column}
    passes, pieces, last = {}, [], 0
    for line in lines:
        between = range(column_of[line.left] + 1, column_of[line.right])
        own = []
        for column in between:
            last -= 1
            own.append(last)
            filled[column].append(last)
        way = [line.left, *own, line.right]
        weight = line.weight * (PASS_WEIGHT if own else 1)
        pieces += [Line(left, right, weight) for left, right in pairwise(way)]
        passes[line.left, line.right] = own
    return filled, passes, pieces


def neighbours(columns: Sequence[Sequence[int]], pieces: Sequence[Line]) -> tuple[Weights, Weights]:
    """Everything's neighbours to the left, and those to the right."""
    to_the_left: Weights = {node: [] for column in columns for node in column}
    to_the_right: Weights = {node: [] for column in columns for node in column}
    for piece in pieces:
        to_the_right[piece.left].append((piece.right, piece.weight))
        to_the_left[piece.right].append((piece.left, piece.weight))
    return to_the_left, to_the_right


def middle(near: Sequence[tuple[int, int]], place: Mapping[int, float], otherwise: float) -> float:
    """The mean place of some neighbours, each counted by its weight; `otherwise` where there are none."""
    total = sum(weight for _, weight in near)
    return sum(place[node] * weight for node, weight in near) / total if total else otherwise


# The order within columns ---------------------------------------------------------------------------------


def in_order(columns: Columns, to_the_left: Weights, to_the_right: Weights) -> Columns:
    """The columns in an order that makes few crossings."""
    order = columns
    best, fewest = order, crossings(order, to_the_right)
    for sweep in range(ORDER_SWEEPS):
        order = (
            _sorted_by(to_the_left, order) if sweep % 2 == 0 else _sorted_by(to_the_right, order[::-1])[::-1]
        )
        count = crossings(order, to_the_right)
        if count < fewest:
            best, fewest = order, count
    return best


def _sorted_by(near: Weights, columns: Columns) -> Columns:
    """Sort every column but the first by the middle of its neighbours in the column before."""
    done = columns[:1]
    for column in columns[1:]:
        place = {node: number for number, node in enumerate(done[-1])}
        stretch = len(place) / max(len(column), 1)  # who has no neighbour stays about where it is
        key = {
            node: (middle(near[node], place, number * stretch), number) for number, node in enumerate(column)
        }
        done.append(sorted(column, key=key.__getitem__))
    return done


def crossings(columns: Columns, to_the_right: Weights) -> int:
    """How often lines between neighbouring columns cross.

    Taken in the order of their left ends, a line crosses each earlier one whose right end is lower down.
    """
    count = 0
    for column, behind in pairwise(columns):
        place = {node: number for number, node in enumerate(behind)}
        ends: list[int] = []
        for node in column:
            new = [place[other] for other, _ in to_the_right[node]]
            count += sum(len(ends) - bisect_right(ends, end) for end in new)
            for end in new:
                insort(ends, end)
    return count


# Heights --------------------------------------------------------------------------------------------------


def spread(wished: Sequence[float], sizes: Sequence[float]) -> list[float]:
    """The heights in this order, with room for these sizes, that are nearest to those wished for (least squares).

    What would come too close is pooled and stands as close as it may around the middle of its wishes, and pools
    that come too close are pooled again: isotonic regression by pooling adjacent violators (common practice).

    >>> spread([0, 0, 5], [1, 1, 1])
    [-0.5, 0.5, 5.0]
    """
    room, offsets = 0.0, []
    for size in sizes:
        offsets.append(room + size / 2)
        room += size
    pools: list[
        tuple[float, int]
    ] = []  # the sum of where its members would have the pool begin, and their number
    for wish, offset in zip(wished, offsets, strict=True):
        total, count = wish - offset, 1
        while pools and pools[-1][0] / pools[-1][1] >= total / count:
            before = pools.pop()
            total, count = total + before[0], count + before[1]
        pools.append((total, count))
    begins = [total / count for total, count in pools for _ in range(count)]
    return [begin + offset for begin, offset in zip(begins, offsets, strict=True)]
