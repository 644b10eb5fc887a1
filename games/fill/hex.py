"""Hex: on a rhombus of six-sided cells the first player joins top and bottom, the second left and right.

A code holds the first player's cells in bits 0 to n-1 and the second's in bits n to 2n-1.  Every row is
shifted half a cell to the right of the one above, so that a cell touches its neighbours in its row, the
cells right above and right below, the one above to the right and the one below to the left.  A full board
always joins one pair of sides and never both, so there are no draws (from memory: J. Nash, 1952).
In *misere* hex whoever joins their own sides loses.
"""

from collections.abc import Sequence

import numpy as np

from games.bitsets import BitGame, bits_of, members_of
from games.board import FREE, Board
from games.codes import (
    FIRST,
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
)
from games.onboard import OnBoard
from games.signs import in_rows


class Hex(BitGame, OnBoard):
    """Hex on a rhombus of columns x rows cells."""

    refusals: tuple[str, ...] = ("taken-by-first", "taken-by-second")

    def __init__(
        self, name: str, board: Board, *, title: str = "", origin: str = "", misere: bool = False
    ) -> None:
        self._board = board
        self.misere = misere
        self._all = np.uint64((1 << board.size) - 1)
        whole = tuple(range(board.size))
        turns = [whole, whole[::-1]] if board.size > 1 else [whole]  # a half turn keeps who joins what
        both = [(*turn, *(board.size + cell for cell in turn)) for turn in turns]
        super().__init__(name, title, origin, f"{board.columns} x {board.rows}", both, turns)
        if board.columns != board.rows:
            self.other_start = 1 << TURN_BIT
        self.move_names = board.names
        self._top, self._bottom = (
            _cells(whole[at:][: board.columns]) for at in (0, board.size - board.columns)
        )
        self._left, self._right = (_cells(whole[at :: board.columns]) for at in (0, board.columns - 1))

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
            "A cell touches up to six others: those beside it, and in the rows above and below those half a cell away.",
            f"If marks of the first player's join top and bottom, the first player {result}, and the game is over.",
            f"If marks of the second player's join left and right, the second player {result}, and the game is over.",
        )

    def holdings(self, codes: Codes) -> tuple[Codes, Codes]:
        """The cells that the first and the second player hold, as sets of bits."""
        return codes & self._all, codes >> np.uint64(self._board.size) & self._all

    def code_of(self, first: int, second: int, mover: int) -> int:
        """The code of a board given as two sets of cells, with `mover` to play."""
        return first | second << self._board.size | mover << TURN_BIT

    def moves(self, codes: Codes) -> MoveList:
        """A mark on every free cell."""
        first, second = self.holdings(codes)
        parent, cell = members_of(~(first | second), self._board.size)
        mover = self.mover(codes)[parent].astype(np.uint64)
        place = cell.astype(np.uint64) + mover * np.uint64(self._board.size)
        child = (codes[parent] | np.uint64(1) << place) ^ TURN
        return MoveList(parent, cell.astype(np.uint16), child)

    def ending(self, codes: Codes) -> Bytes:
        """Who has won because somebody's sides are joined, or UNFINISHED."""
        first, second = self.holdings(codes)
        of_first, of_second = (SECOND_WINS, FIRST_WINS) if self.misere else (FIRST_WINS, SECOND_WINS)
        ending = np.full(len(codes), UNFINISHED, dtype=np.uint8)
        ending[self._join(first, self._top, self._bottom)] = of_first
        ending[self._join(second, self._left, self._right)] = of_second
        return ending

    def _join(self, cells: Codes, begin: np.uint64, end: np.uint64) -> Flags:
        """Whether these cells hold a chain from one side to the other: what hangs together with the side is grown."""
        reached = cells & begin
        while True:
            grown = (reached | self._beside(reached)) & cells
            if np.array_equal(grown, reached):
                joined: Flags = (reached & end) != 0
                return joined
            reached = grown

    def _beside(self, cells: Codes) -> Codes:
        """The cells that touch these ones (and, above the board's bits, some that are none)."""
        row, one = np.uint64(self._board.columns), np.uint64(1)
        not_left, not_right = cells & ~self._left, cells & ~self._right
        beside: Codes = not_left >> one | not_right << one | cells >> row | cells << row
        beside |= not_right >> (row - one) | not_left << (row - one)
        return beside

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 for a free cell, 1 for one of the first player's, 2 for one of the second's."""
        first, second = self.holdings(codes)
        cell, one = moves.astype(np.uint64), np.uint64(1)
        return ((first >> cell & one) + np.uint64(2) * (second >> cell & one)).astype(np.uint8)

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The rhombus with slanted rows; ``m`` and ``v`` stand at the sides that machine and visitor would join.

        `last` is the cell marked last; `named` shows the names of free cells.
        """
        held = self.holdings(np.array([code], dtype=np.uint64))
        signs = self._board.signs(int(held[seat][0]), int(held[1 - seat][0]))
        free = self._board.names if named else signs
        cells = [
            f"({sign})" if cell == last else name.center(3) if sign == FREE else f" {sign} "
            for cell, (sign, name) in enumerate(zip(signs, free, strict=True))
        ]
        top, side = ("m", "v") if seat == FIRST else ("v", "m")
        rim = "  " + "   ".join(top * self._board.columns)
        rows = [f"{side}{' '.join(row)} {side}" for row in in_rows(self._board, cells)]
        return [rim, *("  " * place + row for place, row in enumerate(rows)), "  " * (len(rows) - 1) + rim]


def _cells(members: Sequence[int]) -> np.uint64:
    return np.uint64(bits_of(members))
