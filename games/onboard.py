"""Positions as text, for every game on cells that can be held: what families inherit and need not write."""

from abc import ABC, abstractmethod

import numpy as np

from games.board import FREE, Board
from games.codes import Codes


class OnBoard(ABC):
    """The text side of a game on a board: a family gives the board, who holds what, and how a code is made."""

    @property
    @abstractmethod
    def board(self) -> Board:
        """The cells as people see them."""

    @abstractmethod
    def holdings(self, codes: Codes) -> tuple[Codes, Codes]:
        """The cells that the first and the second player hold, as sets of bits (bit c: cell c)."""

    @abstractmethod
    def code_of(self, first: int, second: int, mover: int) -> int:
        """The code of a board given as two sets of cells, with `mover` to play."""

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The positions as people read and type them: ``M__/_V_/___``."""
        held = self.holdings(codes)
        pairs = zip(held[seat].tolist(), held[1 - seat].tolist(), strict=True)
        return [self.board.text(mine, visitors) for mine, visitors in pairs]

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of a board as `texts` writes it.  Raises ValueError, with the reason, if it is none."""
        mine, visitors = self.board.read(text)
        first, second = (mine, visitors) if seat == 0 else (visitors, mine)
        return self.code_of(first, second, mover)

    def signs_at(self, code: int, seat: int) -> list[str]:
        """What stands on each cell of a position, seen from the machine's seat."""
        held = self.holdings(np.array([code], dtype=np.uint64))
        return self.board.signs(int(held[seat][0]), int(held[1 - seat][0]))

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The board row by row; `last` is the cell marked last; `named` shows the names of free cells in a grid."""
        signs = self.signs_at(code, seat)
        if not named:
            return self.board.drawn(signs, last)
        names = zip(signs, self.board.names, strict=True)
        return self.board.grid([name if sign == FREE else sign for sign, name in names])
