"""Dots and boxes: draw a line between two dots; whoever completes a box scores it and moves again.

A code holds the lines that are drawn, one bit each; who owns the boxes so far is no part of it.  It is a
score game: what counts is the difference still to come, first player's boxes minus second's.
"""

import numpy as np

from games.bitsets import BitGame, bits_of, members_of, pair_images
from games.board import LETTERS, Board
from games.codes import DRAW, FIRST, TURN, TURN_BIT, UNFINISHED, Bytes, Codes, MoveIds, MoveList
from games.game import Gains
from games.signs import FILLED, Signs
from games.squares import symmetries_of

Edge = tuple[int, int]
"""A line between two dots, the upper or left dot first."""
WIDTH = 4
"""Characters from one dot to the next in a drawing."""


class Boxes(BitGame):
    """Dots and boxes on columns x rows of boxes; some lines may be drawn from the start."""

    refusals: tuple[str, ...] = ("already-drawn",)

    def __init__(
        self, name: str, columns: int, rows: int, drawn: int = 0, *, title: str = "", origin: str = ""
    ) -> None:
        """`drawn`: the lines that are there from the start, as a set of bits."""
        dots = dots_of(columns, rows)
        self._columns, self._rows, self._dots = columns, rows, dots
        self._edges = edges(columns, rows)
        self._all = np.uint64((1 << len(self._edges)) - 1)
        self._signs = Signs([columns + place % 2 for place in range(2 * rows + 1)])
        self._boxes = _boxes(columns, rows, self._edges)
        self._lacking = self._other_lines()
        turns = self._turns(drawn)
        super().__init__(name, title, origin, f"{columns} x {rows}", turns, turns, drawn)
        self.move_names = edge_names(columns, rows)

    def _other_lines(self) -> Codes:
        """For each line the other three lines of the one or two boxes beside it, (2, lines).

        Where there is no second box the line itself stands: a line that can be drawn is not there yet, so
        that "box" is never complete.
        """
        lacking = np.empty((2, len(self._edges)), dtype=np.uint64)
        for line in range(len(self._edges)):
            beside = [box & ~(1 << line) for box in self._boxes if box >> line & 1]
            lacking[:, line] = [*beside, 1 << line][:2]
        return lacking

    def _turns(self, drawn: int) -> list[tuple[int, ...]]:
        """The turns of the rectangle of dots that keep what is drawn from the start: where each line goes."""
        turns = pair_images(symmetries_of(self._dots, ()), self._edges)
        there = [line for line in range(len(self._edges)) if drawn >> line & 1]
        return [turn for turn in turns if bits_of([turn[line] for line in there]) == drawn]

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        return (
            "The two players take turns; the first player begins.",
            "Whose turn it is draws one line between two neighbouring dots, side by side or one below the other.",
            "Whoever completes a box scores one, or two if the line completes two boxes, and moves again.",
            "When all lines are drawn the game is over, and whoever has scored more has won.",
            f"A move names both dots of its line: {self.move_names[0]}.",
        )

    def _completed(self, codes: Codes, moves: MoveIds) -> Bytes:
        """How many boxes each move completes: 0, 1 or 2."""
        first, second = self._lacking[:, moves]
        completed: Bytes = (codes & first == first).astype(np.uint8) + (codes & second == second)
        return completed

    def moves(self, codes: Codes) -> MoveList:
        """Every line that is not drawn; the turn passes on where no box is completed."""
        parent, line = members_of(~codes & self._all, len(self._edges))
        move, before = line.astype(np.uint16), codes[parent]
        child = before | np.uint64(1) << line.astype(np.uint64)
        child ^= np.where(self._completed(before, move) == 0, TURN, np.uint64(0))
        return MoveList(parent, move, child)

    def gains(self, codes: Codes, moves: MoveIds) -> Gains:
        """What each move brings at once: the boxes that it completes, those of the second player's counted down."""
        completed = self._completed(codes, moves).astype(np.int8)
        return np.where(self.mover(codes) == FIRST, completed, -completed)

    def ending(self, codes: Codes) -> Bytes:
        """DRAW, since nothing more is to come, once all lines are drawn."""
        return np.where(codes & self._all == self._all, DRAW, UNFINISHED).astype(np.uint8)

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 for a line that can be drawn, 1 for one that is there."""
        return (codes >> moves.astype(np.uint64) & np.uint64(1)).astype(np.uint8)

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The positions as people read and type them, ``##/#.#/..``: rows of lying and of upright lines in turn."""
        return [self._signs.text(drawn) for drawn in (codes & self._all).tolist()]

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of lines as `texts` writes them.  Raises ValueError, with the reason, if it is none."""
        return self._signs.read(text) | mover << TURN_BIT

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The dots and lines, full boxes marked ``#``; the last line stands in brackets; `named` names the dots."""
        picture = [[" "] * (WIDTH * self._columns + 3) for _ in range(2 * self._rows + 1)]
        for dot in range(self._dots.size):
            row, column = divmod(dot, self._dots.columns)
            picture[2 * row][WIDTH * column + 1] = "+"
        for line, (begin, end) in enumerate(self._edges):
            if code >> line & 1:
                self._draw_line(picture, begin, end, is_last=line == last)
        for box, lines in enumerate(self._boxes):
            row, column = divmod(box, self._columns)
            if code & lines == lines:
                picture[2 * row + 1][WIDTH * column + 3] = FILLED
        rows = ["".join(row).rstrip() for row in picture]
        return self._with_names(rows) if named else rows

    def _draw_line(self, picture: list[list[str]], begin: int, end: int, *, is_last: bool) -> None:
        row, column = divmod(begin, self._dots.columns)
        at = WIDTH * column + 1
        if end == begin + 1:
            picture[2 * row][at + 1 : at + 4] = "(-)" if is_last else "---"
        else:
            picture[2 * row + 1][at - 1 : at + 2] = "(|)" if is_last else " | "

    def _with_names(self, rows: list[str]) -> list[str]:
        """The dots' letters above the drawing, their numbers beside it."""
        letters = "".join(letter.ljust(WIDTH) for letter in LETTERS[: self._dots.columns]).rstrip()
        numbers = ["" if place % 2 else str(place // 2 + 1) for place in range(len(rows))]
        beside = [f"{number:>2} {row}".rstrip() for number, row in zip(numbers, rows, strict=True)]
        return [f"    {letters}", *beside]


def dots_of(columns: int, rows: int) -> Board:
    """The dots of columns x rows boxes, always named by column letter and row number."""
    names = [f"{LETTERS[column]}{row + 1}" for row in range(rows + 1) for column in range(columns + 1)]
    return Board(columns + 1, rows + 1, tuple(names))


def line_count(columns: int, rows: int) -> int:
    """How many lines there are to draw."""
    return columns * (rows + 1) + (columns + 1) * rows


def edges(columns: int, rows: int) -> list[Edge]:
    """Every line between neighbouring dots, in reading order: a row of lying lines, one of upright ones, and so on."""
    dots = dots_of(columns, rows)
    found = []
    for row in range(rows + 1):
        found += [(dots.cell(column, row), dots.cell(column + 1, row)) for column in range(columns)]
        if row < rows:
            found += [(dots.cell(column, row), dots.cell(column, row + 1)) for column in range(columns + 1)]
    return found


def edge_names(columns: int, rows: int) -> tuple[str, ...]:
    """The lines' names, such as ``a1-b1``."""
    names = dots_of(columns, rows).names
    return tuple(f"{names[begin]}-{names[end]}" for begin, end in edges(columns, rows))


def _boxes(columns: int, rows: int, every: list[Edge]) -> list[int]:
    """The four lines of each box, as sets, in reading order."""
    dots = dots_of(columns, rows)
    place = {edge: line for line, edge in enumerate(every)}
    boxes = []
    for row in range(rows):
        for column in range(columns):
            corners = [dots.cell(column + right, row + down) for down in (0, 1) for right in (0, 1)]
            sides = ((0, 1), (0, 2), (1, 3), (2, 3))
            boxes.append(bits_of([place[corners[begin], corners[end]] for begin, end in sides]))
    return boxes
