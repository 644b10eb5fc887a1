"""How the men of one side go over a rectangle of cells: where forward is, and each way as a shift of bits.

Cells are numbered in reading order, so all men that take the same way move by the same number of bits, and
one shift moves them all.  Sets of cells have a bit for each cell.
"""

from collections.abc import Iterable
from typing import NamedTuple

import numpy as np

from games.board import Board
from games.codes import Codes

_Heading = tuple[int, int]
"""Columns to the right and rows down."""
HEADINGS: dict[str, _Heading] = {"up": (0, -1), "down": (0, 1), "left": (-1, 0), "right": (1, 0)}
"""Where a side can be going."""
KINDS = ("forward", "sideways", "diagonal")
"""The kinds of ways, seen from the side that goes: one cell ahead, to either side, ahead and to a side at once."""

ONTO_FREE, ONTO_OTHER, OFF_BOARD = "free", "other", "off"
"""Where a way leads: onto a free cell, onto one that the other side holds, or off the board."""


class Way(NamedTuple):
    """One way to go.  `onto`: where it leads; `shift`: how many bits farther; `cells`: from which it stays on the board."""

    onto: str
    shift: int
    cells: int


class Side:
    """All that sets the men of one side apart: which of them stand where at the start, and how they go.

    heading: a word of HEADINGS; steps, captures: words of KINDS; leaves: whether men on the far edge may leave.
    """

    __slots__ = ("far", "heading", "men", "ways")

    def __init__(
        self, board: Board, men: int, heading: str, steps: Iterable[str], captures: Iterable[str], *, leaves: bool
    ) -> None:
        self.men = men
        self.heading = heading
        self.far = edge(board, HEADINGS[heading])
        ways = [_way(board, ONTO_FREE, ahead) for kind in steps for ahead in _headings(heading, kind)]
        ways += [_way(board, ONTO_OTHER, ahead) for kind in captures for ahead in _headings(heading, kind)]
        ways += [Way(OFF_BOARD, 0, self.far)] if leaves else []
        self.ways = tuple(way for way in ways if way.cells)

    def carried(self, images: tuple[int, ...]) -> frozenset[tuple[str, int, int]]:
        """The side as a set of facts about cells, seen through a symmetry: equal sets are the same side."""
        facts = {("man", images[cell], 0) for cell in cells_of(self.men)}
        facts |= {("far", images[cell], 0) for cell in cells_of(self.far)}
        for way in self.ways:
            facts |= {(way.onto, images[cell], images[cell + way.shift]) for cell in cells_of(way.cells)}
        return frozenset(facts)


def back_edge(board: Board, heading: str) -> int:
    """The edge from which a side that is going there comes."""
    right, down = HEADINGS[heading]
    return edge(board, (-right, -down))


def edge(board: Board, heading: _Heading) -> int:
    """The cells of the edge that lies in this direction."""
    return sum(1 << cell for cell in range(board.size) if _neighbour(board, cell, heading) is None)


def cells_of(cells: int) -> list[int]:
    """The cells of a set, in reading order."""
    return [cell for cell in range(cells.bit_length()) if cells >> cell & 1]


def shifted(cells: Codes, by: int) -> Codes:
    """Sets of cells, each cell moved by so many bits."""
    return cells << np.uint64(by) if by >= 0 else cells >> np.uint64(-by)


def men_able(way: Way, own: Codes, other: Codes, free: Codes) -> Codes:
    """The men among `own` that can go this way, given who holds what: (n,) sets of cells each."""
    able = own & np.uint64(way.cells)
    if way.onto == OFF_BOARD:
        return able
    return able & shifted(free if way.onto == ONTO_FREE else other, -way.shift)


def _headings(heading: str, kind: str) -> list[_Heading]:
    """The directions of a kind of way, for a side that is going there."""
    right, down = HEADINGS[heading]
    to_sides = ((-abs(down), -abs(right)), (abs(down), abs(right)))
    if kind == "forward":
        return [(right, down)]
    if kind == "sideways":
        return list(to_sides)
    return [(right + aside, down + below) for aside, below in to_sides]


def _way(board: Board, onto: str, heading: _Heading) -> Way:
    cells = [cell for cell in range(board.size) if _neighbour(board, cell, heading) is not None]
    right, down = heading
    return Way(onto, down * board.columns + right, sum(1 << cell for cell in cells))


def _neighbour(board: Board, cell: int, heading: _Heading) -> int | None:
    """The next cell in a direction; None beyond the edge."""
    column, row = cell % board.columns + heading[0], cell // board.columns + heading[1]
    inside = 0 <= column < board.columns and 0 <= row < board.rows
    return board.cell(column, row) if inside else None
