"""A board of points: the cells of a board as points, of which steps join two and two.

Whether a man may go from one point to another is told for all points at once, by sets of points.
"""

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

import numpy as np

from games.board import Board
from games.codes import Codes

GAP = 3
"""Characters between two columns of a drawing with its steps."""

Step = tuple[int, int]
"""Two points that are joined, the lesser one first."""

# Patterns of steps ----------------------------------------------------------------------------------------


class _Way(NamedTuple):
    """How one point lies from another: columns to the right and rows down.

    column, row: of the point from which it lies so, counted from the middle of the board in half columns and rows.
    """

    right: int
    down: int
    column: int
    row: int

    def is_straight(self) -> bool:
        """Whether it is the next point in the row or the column."""
        return abs(self.right) + abs(self.down) == 1

    def is_next(self) -> bool:
        """Whether it is the next point in the row, the column or a diagonal."""
        return max(abs(self.right), abs(self.down)) == 1

    def is_on_middle_diagonal(self) -> bool:
        """Whether both points lie on one diagonal through the middle of the board."""
        is_diagonal = abs(self.right) == abs(self.down)
        return is_diagonal and self.column * self.down == self.row * self.right


PATTERNS: dict[str, tuple[Callable[[_Way], bool], str]] = {
    "orthogonal": (_Way.is_straight, "along a row or a column to the next point"),
    "centre-diagonals": (
        lambda way: way.is_straight() or (way.is_next() and way.is_on_middle_diagonal()),
        "along a row, a column or a diagonal through the centre to the next point",
    ),
    "all-neighbours": (_Way.is_next, "along a row, a column or a diagonal to the next point"),
    "anywhere": (lambda way: True, "to any other point"),
}
"""Ready-made patterns of steps: which points are joined, and how a man goes, in words."""


def steps_of_pattern(board: Board, pattern: str) -> list[Step]:
    """The steps of a ready-made pattern on a board, in order."""
    joins, _ = PATTERNS[pattern]
    return [
        (start, end)
        for start in range(board.size)
        for end in range(start + 1, board.size)
        if joins(_way(board, start, end))
    ]


def _way(board: Board, start: int, end: int) -> _Way:
    (left, top), (right, bottom) = board.where(start), board.where(end)
    return _Way(right - left, bottom - top, 2 * left + 1 - board.columns, 2 * top + 1 - board.rows)


def joined_by(steps: Iterable[Step], size: int) -> tuple[int, ...]:
    """For each point the set of points that are joined to it."""
    joined = [0] * size
    for start, end in steps:
        joined[start] |= 1 << end
        joined[end] |= 1 << start
    return tuple(joined)


class Neighbours:
    """Which points lie one step from a set of points, for many sets at once.

    Steps that are equally long in bits are taken together: on a grid there are few lengths.
    """

    __slots__ = ("_ways",)

    def __init__(self, joined: Sequence[int], within: int) -> None:
        """Only steps that end in the set `within` count."""
        ways: dict[int, int] = {}
        for start, ends in enumerate(joined):
            for end in range(len(joined)):
                if ends & within & 1 << end:
                    ways[end - start] = ways.get(end - start, 0) | 1 << start
        self._ways = tuple((np.uint64(starts), length) for length, starts in ways.items())

    def of(self, points: Codes) -> Codes:
        """The points one step from any of some points: sets of points, (n,) each."""
        found = np.zeros_like(points)
        for starts, length in self._ways:
            going = points & starts
            found |= going << np.uint64(length) if length >= 0 else going >> np.uint64(-length)
        return found


# Drawings -------------------------------------------------------------------------------------------------


class Drawn(NamedTuple):
    """A board with its steps as rows of text, and the steps that plain text cannot show."""

    rows: list[str]
    not_shown: list[Step]


def draw_with_steps(board: Board, shown: Sequence[str], steps: Iterable[Step]) -> Drawn:
    """Every point as it is to be shown, with the steps as lines between them."""
    width = max(map(len, shown))
    sheet = _Sheet(board, width)
    for point, text in enumerate(shown):
        sheet.write(point, text)
    not_shown = [step for step in steps if not sheet.join(*step)]
    return Drawn(sheet.rows(), not_shown)


def drawn_width(board: Board) -> int:
    """How many characters such a drawing takes when every point shows a sign and its name."""
    return board.columns * (1 + max(map(len, board.names)) + GAP) - GAP


class _Sheet:
    """Characters in rows and columns, on which points are two rows and a fixed number of columns apart."""

    def __init__(self, board: Board, width: int) -> None:
        self.board = board
        self.width = width
        self.signs: dict[tuple[int, int], str] = {}
        self._taken = {board.where(point) for point in range(board.size)}

    def _middle(self, point: int) -> tuple[int, int]:
        column, row = self.board.where(point)
        return column * (self.width + GAP) + (self.width - 1) // 2, 2 * row

    def write(self, point: int, text: str) -> None:
        """Put a point's text in its place."""
        column, row = self.board.where(point)
        for offset, sign in enumerate(text.center(self.width)):
            self.signs[column * (self.width + GAP) + offset, 2 * row] = sign

    def join(self, start: int, end: int) -> bool:
        """Draw a step; False if it is no straight or diagonal line, or other points lie on it."""
        (left, top), (right, bottom) = self.board.where(start), self.board.where(end)
        across, down = right - left, bottom - top
        far = max(abs(across), abs(down))
        if across and down and abs(across) != abs(down):
            return False
        between = {(left + across * i // far, top + down * i // far) for i in range(1, far)}
        if between & self._taken:
            return False
        if down:
            self._draw_down(self._middle(start), self._middle(end))
        else:
            first = left * (self.width + GAP) + self.width + 1
            for x in range(first, right * (self.width + GAP) - 1):
                self.signs[x, 2 * top] = "-"
        return True

    def _draw_down(self, start: tuple[int, int], end: tuple[int, int]) -> None:
        """One sign in every row of characters between two points, the start in the upper one."""
        across, down = end[0] - start[0], end[1] - start[1]
        sign = "|" if not across else "\\" if across > 0 else "/"
        for i in range(1, down):
            place = start[0] + across * i // down, start[1] + i
            crossed = {self.signs.get(place, sign), sign} == {"\\", "/"}
            self.signs[place] = "X" if crossed else sign

    def rows(self) -> list[str]:
        """The sheet, row by row."""
        right, bottom = max(x for x, _ in self.signs), max(y for _, y in self.signs)
        return [
            "".join(self.signs.get((x, y), " ") for x in range(right + 1)).rstrip() for y in range(bottom + 1)
        ]
