"""A board as people see it: cells in rows and columns, their names, and a position as text.

Boards are always columns x rows; cells are numbered in reading order, from the top left.
A position is written for people as rows of signs divided by ``/``: ``M`` the machine's, ``V`` the
visitor's, ``_`` free, so ``M__/_V_/___``.
"""

from collections.abc import Iterable, Sequence

MINE, VISITORS, FREE = "M", "V", "_"
ROW_END = "/"
LETTERS = "abcdefghijklmnopqrstuvwxyz"


def usual_names(columns: int, rows: int) -> tuple[str, ...]:
    """The cells' names in reading order: 1 to 9 on 3x3, elsewhere column letter and row number (a1 top left)."""
    if (columns, rows) == (3, 3):
        return tuple(str(number) for number in range(1, 10))
    return tuple(f"{LETTERS[column]}{row + 1}" for row in range(rows) for column in range(columns))


class Board:
    """A rectangle of named cells."""

    __slots__ = ("columns", "names", "rows")

    def __init__(self, columns: int, rows: int, names: tuple[str, ...] = ()) -> None:
        self.columns = columns
        self.rows = rows
        self.names = names or usual_names(columns, rows)

    def cell(self, column: int, row: int) -> int:
        """The number of the cell in this column and row, both counted from 0 at the top left."""
        return row * self.columns + column

    @property
    def size(self) -> int:
        """How many cells there are."""
        return self.columns * self.rows

    def groups(self) -> dict[str, tuple[int, ...]]:
        """Groups of cells that have a name: corners, edges (the rim without corners) and the centre."""
        last_column, last_row = self.columns - 1, self.rows - 1
        corners = sorted({self.cell(c, r) for c in (0, last_column) for r in (0, last_row)})
        rim = [
            self.cell(c, r)
            for r in range(self.rows)
            for c in range(self.columns)
            if c in (0, last_column) or r in (0, last_row)
        ]
        middle_columns = {last_column // 2, (last_column + 1) // 2}
        middle_rows = {last_row // 2, (last_row + 1) // 2}
        return {
            "corners": tuple(corners),
            "edges": tuple(cell for cell in rim if cell not in corners),
            "centre": tuple(sorted(self.cell(c, r) for c in middle_columns for r in middle_rows)),
        }

    def opposite(self, cell: int) -> int:
        """The cell on the other side of the board's middle point."""
        return self.size - 1 - cell

    def signs(self, mine: int, visitors: int) -> list[str]:
        """The sign of each cell."""
        return [
            MINE if mine >> cell & 1 else VISITORS if visitors >> cell & 1 else FREE
            for cell in range(self.size)
        ]

    def text(self, mine: int, visitors: int) -> str:
        """The position of two sets of cells as one line of text."""
        return ROW_END.join("".join(row) for row in self._rows_of(self.signs(mine, visitors)))

    def drawn(self, mine: int, visitors: int, last: int | None = None) -> list[str]:
        """The signs row by row, three characters a cell; the cell marked last stands in brackets."""
        signs = self.signs(mine, visitors)
        cells = [f"({sign})" if cell == last else f" {sign} " for cell, sign in enumerate(signs)]
        return ["".join(row) for row in self._rows_of(cells)]

    def grid(self, shown: Sequence[str]) -> list[str]:
        """The board as a grid of texts, one a cell, with lines between."""
        width = max(len(text) for text in shown)
        rows = [" | ".join(text.center(width) for text in row) for row in self._rows_of(shown)]
        between = "-+-".join("-" * width for _ in range(self.columns))
        return [line.rstrip() for row in rows for line in (between, row)][1:]

    def _rows_of(self, cells: Sequence[str]) -> list[Sequence[str]]:
        return [cells[first : first + self.columns] for first in range(0, self.size, self.columns)]

    def read(self, text: str) -> tuple[int, int]:
        """The two sets of cells (mine, the visitor's) that a position's text names.

        Raises ValueError, with the reason in words, if the text is no such board.
        """
        rows = text.strip().split(ROW_END)
        if len(rows) != self.rows or any(len(row) != self.columns for row in rows):
            raise ValueError(
                f"expected {self.rows} rows of {self.columns} signs divided by '{ROW_END}', "
                f"such as {self.text(1, 0)}, not '{text}'"
            )
        wrong = sorted(set("".join(rows)) - {MINE, VISITORS, FREE})
        if wrong:
            raise ValueError(f"'{wrong[0]}' is no sign of a board; expected {MINE} , {VISITORS} or {FREE}")
        return _cells_with(MINE, rows), _cells_with(VISITORS, rows)


def _cells_with(sign: str, rows: Iterable[str]) -> int:
    return sum(1 << cell for cell, found in enumerate("".join(rows)) if found == sign)
