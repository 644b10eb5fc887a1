"""The family **marks**: each player in turn puts a mark of their own on a free cell; a full line ends the game.

A code holds the first player's cells in bits 0 to n-1 and the second's in bits n to 2n-1.  Owning a line
wins, or loses where the game is *misere*; a full board without a line is a draw.
"""

from collections.abc import Sequence

import numpy as np

from games.board import Board
from games.codes import (
    DRAW,
    FIRST_WINS,
    SECOND_WINS,
    TURN,
    TURN_BIT,
    UNFINISHED,
    Bytes,
    Codes,
    Flags,
    MoveIds,
    MoveList,
    turn_of,
)
from games.inputs import InputForm
from games.onboard import OnBoard
from games.squares import lines_in_a_row, symmetries_of
from games.tomlfile import Table

MOST_CELLS = 28
"""Two bits a cell, and room above for house rules and the turn."""
LONGEST_NAME = InputForm().longest
"""Characters: a cell's name can be keyed in under house rules that do not say how long a line may be."""


class Marks(OnBoard):
    """A game of placing marks on a rectangle of cells."""

    refusals: tuple[str, ...] = ("taken-by-first", "taken-by-second")
    bits: int
    start = 0
    other_start: int | None = None
    can_repeat = False

    def __init__(
        self,
        name: str,
        board: Board,
        lines: Sequence[tuple[int, ...]],
        *,
        title: str = "",
        origin: str = "",
        misere: bool = False,
    ) -> None:
        self.name = name
        self.title = title or name
        self.origin = origin
        self.size = f"{board.columns} x {board.rows}"
        self.misere = misere
        self._board = board
        self.bits = 2 * board.size
        self.move_names = board.names
        self.lines = tuple(sum(1 << cell for cell in line) for line in lines)
        self._line_masks = np.array(self.lines, dtype=np.uint64)
        self._cells = np.arange(board.size, dtype=np.uint64)
        self._all_cells = (1 << board.size) - 1
        self._cell_images = symmetries_of(board, self.lines)
        self.symmetries = len(self._cell_images)
        self._image_tables = [_image_tables(images) for images in self._cell_images]

    @property
    def board(self) -> Board:
        """The cells as people see them."""
        return self._board

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        result = "loses" if self.misere else "wins"
        return (
            "The two players take turns; the first player begins.",
            "Whose turn it is puts a mark on one free cell.",
            f"Whoever fills a whole line with marks of their own {result}, and the game is over.",
            "When the board is full and no line is, the game is a draw.",
        )

    def holdings(self, codes: Codes) -> tuple[Codes, Codes]:
        """The cells that the first and the second player hold, as sets of bits."""
        every = np.uint64(self._all_cells)
        return codes & every, codes >> np.uint64(self._board.size) & every

    def code_of(self, first: int, second: int, mover: int) -> int:
        """The code of a board given as two sets of cells, with `mover` to play."""
        return first | second << self._board.size | mover << TURN_BIT

    def codes_of(self, first: Codes, second: Codes, mover: int) -> Codes:
        """The same for many boards at once."""
        return first | second << np.uint64(self._board.size) | np.uint64(mover << TURN_BIT)

    def moves(self, codes: Codes) -> MoveList:
        """A mark on every free cell; only unfinished positions may be asked about."""
        first, second = self.holdings(codes)
        taken = first | second
        shift = self.mover(codes) * np.uint64(self._board.size)
        parents, moves, children = [], [], []
        for cell in range(self._board.size):
            parent = np.flatnonzero(taken & np.uint64(1 << cell) == 0)
            mark = np.uint64(1) << (shift[parent] + np.uint64(cell))
            parents.append(parent)
            moves.append(np.full(len(parent), cell, dtype=np.uint16))
            children.append((codes[parent] | mark) ^ TURN)
        return MoveList(np.concatenate(parents), np.concatenate(moves), np.concatenate(children))

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is, as the turn bit says."""
        return turn_of(codes)

    def ending(self, codes: Codes) -> Bytes:
        """Who has won, or a draw, or UNFINISHED."""
        first, second = self.holdings(codes)
        ending = np.where(first | second == np.uint64(self._all_cells), DRAW, UNFINISHED).astype(np.uint8)
        of_first, of_second = (SECOND_WINS, FIRST_WINS) if self.misere else (FIRST_WINS, SECOND_WINS)
        ending[self._owns_line(first)] = of_first
        ending[self._owns_line(second)] = of_second
        return ending

    def _owns_line(self, cells: Codes) -> Flags:
        owned = np.zeros(len(cells), dtype=bool)
        for line in self._line_masks:
            owned |= cells & line == line
        return owned

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The same positions on the turned board."""
        first, second = self.holdings(codes)
        tables = self._image_tables[symmetry]
        image: Codes = _look_up(tables, first) | _look_up(tables, second) << np.uint64(self._board.size)
        image |= codes & TURN
        return image

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """Where the moves' cells go on the turned board."""
        return np.asarray(self._cell_images[symmetry], dtype=np.uint16)[moves]

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 for a free cell, 1 for one of the first player's, 2 for one of the second's."""
        first, second = self.holdings(codes)
        cell = moves.astype(np.uint64)
        return ((first >> cell & np.uint64(1)) + (second >> cell & np.uint64(1)) * np.uint64(2)).astype(
            np.uint8
        )


def _image_tables(images: Sequence[int]) -> list[Codes]:
    """For each eight cells a table of 256 sets: where those of them that are held go."""
    tables = []
    for low in range(0, len(images), 8):
        part = images[low : low + 8]
        table = np.zeros(1, dtype=np.uint64)
        for image in part:
            table = np.concatenate([table, table | np.uint64(1 << image)])
        tables.append(table)
    return tables


def _look_up(tables: Sequence[Codes], cells: Codes) -> Codes:
    """The image of sets of cells: the union of what each eight of their bits become."""
    image = np.zeros_like(cells)
    for place, table in enumerate(tables):
        image |= table[(cells >> np.uint64(8 * place) & np.uint64(len(table) - 1)).astype(np.intp)]
    return image


def read_marks(table: Table, name: str) -> Marks | None:
    """The game that a TOML table of this family describes; None if it has mistakes, which the table has noted.

    Keys: ``columns``, ``rows``; ``in-a-row`` or ``lines`` (lists of cell names); ``cells`` (names in
    reading order); ``misere``; ``title``; ``from``.
    """
    before = len(table.problems)
    columns = table.whole("columns", least=1, most=26)
    rows = table.whole("rows", least=1, most=26)
    if columns * rows > MOST_CELLS and len(table.problems) == before:
        table.wrong(
            "columns",
            f"a board of {columns} x {rows} cells is too large; expected at most {MOST_CELLS} cells",
        )
    is_sound = len(table.problems) == before
    names = table.texts("cells", default=())
    named_lines = _read_lines(table)
    misere = table.flag("misere", default=False)
    title = table.text("title", default=name)
    origin = table.text("from", default="")
    if not is_sound:  # then nothing can be said about what is on the board
        table.whole("in-a-row", default=2)
        return None
    board = Board(columns, rows, names)
    _check_names(table, board)
    lines = _named_lines(table, board, named_lines) if "lines" in table else _lines_in_a_row(table, board)
    if len(table.problems) > before:
        return None
    return Marks(name, board, lines, title=title, origin=origin, misere=misere)


def _read_lines(table: Table) -> list[tuple[str, ...]]:
    """The lines by the names of their cells, as they are written."""
    before = len(table.problems)
    lines = table.text_lists("lines")
    if "lines" in table and not lines and len(table.problems) == before:
        table.wrong("lines", "there are no lines; expected at least one")
    return lines


def _check_names(table: Table, board: Board) -> None:
    names = board.names
    if len(names) != board.size:
        table.wrong("cells", f"'cells' names {len(names)} cells; expected {board.size}, in reading order")
    if len({name.lower() for name in names}) != len(names):  # what is keyed in counts in either case
        table.wrong("cells", "'cells' names a cell twice; expected every name once, in capitals or not")
    for name in names:
        if not (name.isascii() and name.isalnum()):
            table.wrong("cells", f"a cell cannot be called '{name}'; expected letters and digits only")
        elif len(name) > LONGEST_NAME:
            table.wrong(
                "cells", f"a cell cannot be called '{name}'; expected at most {LONGEST_NAME} characters"
            )


def _lines_in_a_row(table: Table, board: Board) -> list[tuple[int, ...]]:
    """Every straight line of as many cells as ``in-a-row`` says."""
    before = len(table.problems)
    length = table.whole("in-a-row", least=2, most=max(2, board.columns, board.rows))
    lines = lines_in_a_row(board, length)
    if not lines and len(table.problems) == before:
        table.wrong(
            "in-a-row", f"no line of {length} cells fits on a board of {board.columns} x {board.rows}"
        )
    return lines


def _named_lines(table: Table, board: Board, named: Sequence[tuple[str, ...]]) -> list[tuple[int, ...]]:
    """The lines of a list of one's own."""
    if "in-a-row" in table:
        table.wrong("lines", "both 'lines' and 'in-a-row' are given; expected one of them")
    table.whole("in-a-row", default=2)
    kept: list[tuple[str, ...]] = []
    for names in named:
        unknown = [name for name in names if name not in board.names]
        if unknown:
            table.wrong("lines", f"a line goes through '{unknown[0]}', and there is no such cell")
        elif len(names) < 2 or len(set(names)) != len(names):
            table.wrong(
                "lines", f"a line is {', '.join(names) or 'empty'}; expected two or more different cells"
            )
        elif sorted(names) in map(sorted, kept):  # two lines that are one would pass for a double threat
            table.wrong("lines", f"the line {', '.join(names)} is given twice; expected each once")
        else:
            kept.append(names)
    return [tuple(board.names.index(name) for name in names) for names in kept]
