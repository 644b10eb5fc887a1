"""Chomp: eat a cell with everything to its right and below; the cell at the top left is poisoned.

What is left has rows that never grow downward, so its lower edge is a path of `columns` steps to the right
and `rows` steps up.  A code holds that path from the bottom left: bit b is set where step b goes up.  So
any bar fits, and the number of bits set before and after says how long each row is.
"""

from math import comb

import numpy as np
import numpy.typing as npt

from games.bitsets import members_of
from games.board import ROW_END, Board
from games.codes import (
    FIRST,
    FIRST_WINS,
    SECOND_WINS,
    TURN,
    TURN_BIT,
    UNFINISHED,
    Bytes,
    Codes,
    MoveIds,
    MoveList,
    turn_of,
)
from games.signs import FILLED, OPEN, as_grid, marked

Lengths = npt.NDArray[np.intp]
"""How many cells are left of each row, (n, rows), from the top row down."""


class Chomp:
    """A bar of chocolate; whoever eats the poisoned cell loses."""

    refusals: tuple[str, ...] = ("already-eaten",)
    other_start: int | None = None  # it matters to nobody who begins: both players may eat the same
    can_repeat = False

    def __init__(self, name: str, board: Board, *, title: str = "", origin: str = "") -> None:
        self.name = name
        self.title = title or name
        self.origin = origin
        self.size = f"{board.columns} x {board.rows}"
        self._board = board
        self.bits = board.columns + board.rows
        self.move_names = board.names
        self.symmetries = 2 if board.columns == board.rows > 1 else 1
        self.start = self._code_of([board.columns] * board.rows, FIRST)

    @property
    def board(self) -> Board:
        """The cells as people see them."""
        return self._board

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        return (
            "The two players take turns; the first player begins.",
            "Whose turn it is chooses a cell that is left, and eats it with all cells to its right and below.",
            f"The cell at the top left is poisoned: whoever eats {self.move_names[0]} loses, and the game is over.",
        )

    def _lengths(self, codes: Codes) -> Lengths:
        """How long the rows are: the k-th step up lies behind k others and as many steps to the right as it is long."""
        up = members_of(codes, self.bits)[1].reshape(len(codes), self._board.rows)
        return (up - np.arange(self._board.rows))[:, ::-1]

    def _paths(self, lengths: Lengths) -> Codes:
        """The codes of bars, without the turn."""
        steps = lengths + np.arange(self._board.rows)[::-1]
        paths: Codes = (np.uint64(1) << steps.astype(np.uint64)).sum(axis=1, dtype=np.uint64)
        return paths

    def _code_of(self, lengths: list[int], mover: int) -> int:
        return int(self._paths(np.array([lengths], dtype=np.intp))[0]) | mover << TURN_BIT

    def moves(self, codes: Codes) -> MoveList:
        """Every cell that is left."""
        lengths = self._lengths(codes)
        parent, row, column = np.nonzero(np.arange(self._board.columns) < lengths[:, :, None])
        move = (row * self._board.columns + column).astype(np.uint16)
        below = np.arange(self._board.rows) >= row[:, None]
        left = lengths[parent]
        left = np.where(below, np.minimum(left, column[:, None]), left)
        return MoveList(parent, move, self._paths(left) | ~codes[parent] & TURN)

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is, as the turn bit says."""
        return turn_of(codes)

    def ending(self, codes: Codes) -> Bytes:
        """Once the poisoned cell is eaten, whoever would be next has won."""
        nothing_left = np.uint64((1 << self._board.rows) - 1)
        winner = np.where(self.mover(codes) == FIRST, FIRST_WINS, SECOND_WINS)
        return np.where(codes & ~TURN == nothing_left, winner, UNFINISHED).astype(np.uint8)

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The same positions, or on a square bar mirrored in the diagonal through the poisoned cell."""
        if symmetry == 0:
            return codes.copy()
        columns = np.arange(self._board.columns)
        mirrored = (self._lengths(codes)[:, :, None] > columns).sum(axis=1)
        image: Codes = self._paths(mirrored) | codes & TURN
        return image

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """The same cells, or on a square bar those mirrored in the diagonal."""
        if symmetry == 0:
            return moves.copy()
        row, column = np.divmod(moves, np.uint16(self._board.columns))
        image: MoveIds = column * np.uint16(self._board.columns) + row
        return image

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 for a cell that is left, 1 for one that is eaten."""
        row, column = np.divmod(moves.astype(np.intp), self._board.columns)
        lengths = self._lengths(codes)[np.arange(len(codes)), row]
        return (column >= lengths).astype(np.uint8)

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The positions as people read and type them: ``####/##../#...``, what is left as ``#``."""
        return [ROW_END.join(self._row(length) for length in bar) for bar in self._lengths(codes).tolist()]

    def _row(self, length: int) -> str:
        return FILLED * length + OPEN * (self._board.columns - length)

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of a bar as `texts` writes it.  Raises ValueError, with the reason, if it is none."""
        rows = text.strip().split(ROW_END)
        if len(rows) != self._board.rows or any(len(row) != self._board.columns for row in rows):
            whole = ROW_END.join([self._row(self._board.columns)] * self._board.rows)
            raise ValueError(f"expected signs arranged as in {whole} , not '{text}'")
        lengths = [row.count(FILLED) for row in rows]
        for row, length, above in zip(rows, lengths, [self._board.columns, *lengths], strict=False):
            if row != self._row(length):
                raise ValueError(f"expected rows of some {FILLED} and then some {OPEN} , not '{row}'")
            if length > above:
                raise ValueError(f"in '{text}' something is left below what is eaten, and that cannot be")
        return self._code_of(lengths, mover)

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The bar row by row; `last` is the cell chosen last; `named` shows the names of the cells that are left."""
        [text] = self.texts(np.array([code], dtype=np.uint64), seat)
        signs = text.replace(ROW_END, "")
        if not named:
            return marked(self._board, signs, () if last is None else (last,))
        names = zip(signs, self.move_names, strict=True)
        return as_grid(self._board, [name if sign == FILLED else sign for sign, name in names])


def bars(columns: int, rows: int) -> int:
    """How many bars can be left of a whole one, the eaten one included."""
    return comb(columns + rows, rows)
