"""A board as people see it: cells in rows and columns, their names, and a position as text.

Boards are always columns x rows; cells are numbered in reading order, from the top left, and some squares of
the rectangle may be *holes*, which are no cells and have no number.
A position is written for people as rows of signs divided by ``/``: ``M`` the machine's, ``V`` the
visitor's, ``_`` free, ``.`` a hole, so ``M__/_V_/___``, or ``M__/_._/__V`` on a ring.
"""

from collections.abc import Sequence

from games.problems import so_many

MINE, VISITORS, FREE, HOLE = "M", "V", "_", "."
ROW_END = "/"
LETTERS = "abcdefghijklmnopqrstuvwxyz"


def usual_names(columns: int, rows: int) -> tuple[str, ...]:
    """The squares' names in reading order: 1 to 9 on 3x3, elsewhere column letter and row number (a1 top left)."""
    if (columns, rows) == (3, 3):
        return tuple(str(number) for number in range(1, 10))
    return tuple(f"{LETTERS[column]}{row + 1}" for row in range(rows) for column in range(columns))


class Board:
    """A rectangle of named cells, some of whose squares may be holes.

    names: the cells' names in reading order, the usual ones of their squares unless told; holes: the squares that
    are no cells, as numbers in reading order of the whole rectangle.
    """

    __slots__ = ("_cell_on", "columns", "names", "rows", "squares")

    def __init__(
        self, columns: int, rows: int, names: tuple[str, ...] = (), holes: Sequence[int] = ()
    ) -> None:
        self.columns = columns
        self.rows = rows
        self.squares = tuple(square for square in range(columns * rows) if square not in holes)
        """The square of each cell."""
        self.names = names or self._usual_names()
        self._cell_on = {square: cell for cell, square in enumerate(self.squares)}

    def _usual_names(self) -> tuple[str, ...]:
        names = usual_names(self.columns, self.rows)
        return tuple(names[square] for square in self.squares)

    def has(self, column: int, row: int) -> bool:
        """Whether there is a cell in this column and row: they are on the rectangle, and there is no hole."""
        return 0 <= column < self.columns and row * self.columns + column in self._cell_on

    def cell(self, column: int, row: int) -> int:
        """The number of the cell in this column and row, both counted from 0 at the top left; KeyError in a hole."""
        return self._cell_on[row * self.columns + column]

    def where(self, cell: int) -> tuple[int, int]:
        """The column and the row of a cell, both counted from 0 at the top left."""
        row, column = divmod(self.squares[cell], self.columns)
        return column, row

    @property
    def size(self) -> int:
        """How many cells there are."""
        return len(self.squares)

    def in_words(self) -> tuple[str, ...]:
        """What people must be told to read a position's text, a sentence each."""
        has_holes = self.size < self.columns * self.rows
        return (f"In a written position '{HOLE}' stands for a hole, where there is no cell.",) * has_holes

    def groups(self) -> dict[str, tuple[int, ...]]:
        """Groups of cells that have a name: corners, edges (the rim without corners) and the centre.

        Which squares they are is a matter of the whole rectangle; those of them that are holes are left out.
        """
        last_column, last_row = self.columns - 1, self.rows - 1
        middle_columns = {last_column // 2, (last_column + 1) // 2}
        middle_rows = {last_row // 2, (last_row + 1) // 2}
        groups: dict[str, list[int]] = {"corners": [], "edges": [], "centre": []}
        for cell in range(self.size):
            column, row = self.where(cell)
            at_side, at_end = column in (0, last_column), row in (0, last_row)
            if at_side or at_end:
                groups["corners" if at_side and at_end else "edges"].append(cell)
            if column in middle_columns and row in middle_rows:
                groups["centre"].append(cell)
        return {name: tuple(cells) for name, cells in groups.items()}

    def opposite(self, cell: int) -> int | None:
        """The cell on the other side of the rectangle's middle point; None where there is a hole."""
        return self._cell_on.get(self.columns * self.rows - 1 - self.squares[cell])

    def signs(self, mine: int, visitors: int) -> list[str]:
        """The sign of each cell."""
        return [
            MINE if mine >> cell & 1 else VISITORS if visitors >> cell & 1 else FREE
            for cell in range(self.size)
        ]

    def text(self, mine: int, visitors: int) -> str:
        """The position of two sets of cells as one line of text."""
        return self.written(self.signs(mine, visitors))

    def written(self, signs: Sequence[str]) -> str:
        """Signs of one character, one a cell, as one line of text."""
        return ROW_END.join("".join(row) for row in self._rows_of(signs, HOLE))

    def drawn(self, signs: Sequence[str], last: int | None = None) -> list[str]:
        """Signs row by row, three characters a cell; the cell marked last stands in brackets, holes are left blank."""
        cells = [f"({sign})" if cell == last else f" {sign} " for cell, sign in enumerate(signs)]
        return ["".join(row) for row in self._rows_of(cells, "   ")]

    def grid(self, shown: Sequence[str]) -> list[str]:
        """The board as a grid of texts, one a cell, with lines between; close together where that is too wide."""
        width = max(len(text) for text in shown)
        rows = self._rows_of([text.center(width) for text in shown], " " * width)
        if grid_width(self.columns, width) > WIDEST:
            return [" ".join(row).rstrip() for row in rows]
        between = "-+-".join("-" * width for _ in range(self.columns))
        return [line.rstrip() for row in rows for line in (between, " | ".join(row))][1:]

    def _rows_of(self, cells: Sequence[str], hole: str) -> list[list[str]]:
        """What is shown of each cell, row by row, with `hole` in the holes."""
        squares = [hole] * (self.columns * self.rows)
        for square, shown in zip(self.squares, cells, strict=True):
            squares[square] = shown
        return [squares[first : first + self.columns] for first in range(0, len(squares), self.columns)]

    def read(self, text: str) -> tuple[int, int]:
        """The two sets of cells (mine, the visitor's) that a position's text names.

        Raises ValueError, with the reason in words, if the text is no such board.
        """
        signs = self.read_signs(text, (MINE, VISITORS, FREE))
        return cells_with(MINE, signs), cells_with(VISITORS, signs)

    def read_signs(self, text: str, known: Sequence[str]) -> list[str]:
        """The sign of each cell in a text that `written` could have written with these signs.

        Raises ValueError, with the reason in words, if the text is no such board.
        """
        rows = text.strip().split(ROW_END)
        example = self.written([known[0], *[FREE] * (self.size - 1)])
        if len(rows) != self.rows or any(len(row) != self.columns for row in rows):
            raise ValueError(
                f"expected {so_many(self.rows, 'row')} of {so_many(self.columns, 'sign')} "
                f"divided by '{ROW_END}', such as {example}, not '{text}'"
            )
        squares = "".join(rows)
        signs = [squares[square] for square in self.squares]
        holes = [sign for square, sign in enumerate(squares) if square not in self._cell_on]
        if set(holes) - {HOLE} or (holes and HOLE in signs):
            raise ValueError(
                f"expected '{HOLE}' in the holes and nowhere else, as in {example}, not '{text}'"
            )
        wrong = sorted(set(signs) - set(known))
        if wrong:
            raise ValueError(
                f"'{wrong[0]}' is no sign of a board; expected {', '.join(known[:-1])} or {known[-1]}"
            )
        return signs


WIDEST = 76
"""Characters that a drawing may take on a line of 80, with what commands put before it."""


def grid_width(columns: int, width: int) -> int:
    """How wide a grid is whose texts have so many characters."""
    return columns * (width + 3) - 3


def cells_with(sign: str, signs: Sequence[str]) -> int:
    """The set of cells that hold a sign."""
    return sum(1 << cell for cell, found in enumerate(signs) if found == sign)
