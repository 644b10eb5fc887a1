"""Boards that fill up without belonging to anybody, as text: ``##./...`` (``#`` filled, ``.`` not, ``x`` no place).

Places are numbered in reading order, and rows may differ in length.
"""

from collections.abc import Sequence

from games.bitsets import bits_of
from games.board import ROW_END, Board

FILLED, OPEN, HOLE = "#", ".", "x"
WIDEST = 76
"""Characters that a drawing may take on a line of 80, with what commands put before it."""


class Signs:
    """Rows of places that are filled or not, written and read; `holes` is a set of places that are none."""

    __slots__ = ("_holes", "_lengths")

    def __init__(self, lengths: Sequence[int], holes: int = 0) -> None:
        self._lengths = tuple(lengths)
        self._holes = holes

    def of(self, filled: int) -> list[str]:
        """The sign of each place."""
        return [
            HOLE if self._holes >> place & 1 else FILLED if filled >> place & 1 else OPEN
            for place in range(sum(self._lengths))
        ]

    def text(self, filled: int) -> str:
        """A set of filled places as one line of text."""
        return ROW_END.join(self.rows("".join(self.of(filled))))

    def rows(self, signs: str) -> list[str]:
        """Signs in reading order, cut into the board's rows."""
        ends = [sum(self._lengths[: row + 1]) for row in range(len(self._lengths))]
        return [signs[end - length : end] for end, length in zip(ends, self._lengths, strict=True)]

    def read(self, text: str) -> int:
        """The filled places of a text, holes left out.  Raises ValueError, with the reason, if it is no such board."""
        rows = text.strip().split(ROW_END)
        if tuple(map(len, rows)) != self._lengths:
            raise ValueError(f"expected signs arranged as in {self.text(0)} , not '{text}'")
        signs = "".join(rows)
        wrong = sorted(set(signs) - {FILLED, OPEN, HOLE})
        if wrong:
            raise ValueError(f"'{wrong[0]}' is no sign of this board; expected {FILLED} or {OPEN}")
        if places_with(HOLE, signs) != self._holes:
            raise ValueError(f"expected '{HOLE}' in the holes only, as in {self.text(0)} , not '{text}'")
        return places_with(FILLED, signs)


def places_with(sign: str, signs: str) -> int:
    """The set of places that hold a sign."""
    return bits_of([place for place, found in enumerate(signs) if found == sign])


def marked(board: Board, signs: Sequence[str], last: Sequence[int] = ()) -> list[str]:
    """The board row by row, three characters a cell; what was done last stands in brackets."""
    cells = [f"({sign})" if cell in last else f" {sign} " for cell, sign in enumerate(signs)]
    return ["".join(row).rstrip() for row in in_rows(board, cells)]


def as_grid(board: Board, shown: Sequence[str]) -> list[str]:
    """The board as a grid of texts, or close together where a grid would be too wide."""
    grid = board.grid(shown)
    if max(map(len, grid)) <= WIDEST:
        return grid
    width = max(map(len, shown))
    return [" ".join(text.ljust(width) for text in row).rstrip() for row in in_rows(board, shown)]


def in_rows(board: Board, cells: Sequence[str]) -> list[Sequence[str]]:
    """What is shown of each cell, cut into the board's rows."""
    return [cells[first : first + board.columns] for first in range(0, board.size, board.columns)]
