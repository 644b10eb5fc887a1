"""How the positions of a user's game are shown and read where its file does not say: as cells, or as bare codes."""

import re
import textwrap
from collections.abc import Callable, Sequence
from typing import Protocol

import numpy as np

from games.board import FREE, WIDEST, Board, usual_names
from games.codes import TURN, UNFINISHED, Codes
from games.game import Game
from games.onboard import OnBoard

Holdings = Callable[[Codes], tuple[Codes, Codes]]
CodeOf = Callable[[int, int, int], int]


class Wording(Protocol):
    """The text side of `games.game.Game`."""

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The positions as people read and type them."""
        ...

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of a position as `texts` writes it."""
        ...

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """A position row by row."""
        ...


class Hexadecimal:
    """Codes as numbers in hexadecimal, without the turn: always right, if not pretty."""

    def __init__(self, game: Game) -> None:
        self._game = game

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The codes without the turn: ``0x1f``."""
        return [f"{code:#x}" for code in (codes & ~TURN).tolist()]

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code that is written so.  Raises ValueError if the text is none."""
        if not re.fullmatch(r"\s*0[xX][0-9a-fA-F]{1,16}\s*", text) or int(text, 16) >> self._game.bits:
            raise ValueError(f"expected a position's code such as {self._game.start:#x}, not '{text}'")
        return with_mover(self._game, int(text, 16), mover)

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The code; `named` adds the moves that can be played, and `last` the one just made."""
        codes = np.array([code], dtype=np.uint64)
        text = self.texts(codes, seat)[0]
        rows = [text if last is None else f"{text} after {self._game.move_names[last]}"]
        return [*rows, *in_a_row(moves_in(self._game, code))] if named else rows


class Cells(OnBoard):
    """A board of cells that the players hold, as the file's `holdings` tells."""

    def __init__(
        self, game: Game, columns: int, rows: int, holdings: Holdings, code_of: CodeOf | None
    ) -> None:
        self._game = game
        self._moves_are_cells = len(game.move_names) == columns * rows  # then both are called alike
        names = game.move_names if self._moves_are_cells else usual_names(columns, rows)
        self._board = Board(columns, rows, names)
        self._holdings = holdings
        self._code_of = code_of or self._usual_code

    @property
    def board(self) -> Board:
        """The cells as people see them."""
        return self._board

    def holdings(self, codes: Codes) -> tuple[Codes, Codes]:
        """The cells that the first and the second player hold."""
        return self._holdings(codes)

    def code_of(self, first: int, second: int, mover: int) -> int:
        """The code of a board given as two sets of cells.  Raises ValueError if there is none."""
        return self._code_of(first, second, mover)

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The board; `named` names the cells that can be played, or else the moves below.

        Where moves are no cells, `last` marks the cell to which its name leads, as in ``a1-b1``.
        """
        if self._moves_are_cells and named:
            return self._named(code, seat, moves_in(self._game, code))
        if self._moves_are_cells:
            return super().drawing(code, seat, last)
        goal = "" if last is None else self._game.move_names[last].rpartition("-")[2]
        cell = self._board.names.index(goal) if goal in self._board.names else None
        rows = super().drawing(code, seat, cell, named=named)
        return [*rows, *in_a_row(moves_in(self._game, code))] if named else rows

    def _named(self, code: int, seat: int, can: Sequence[str]) -> list[str]:
        """The board with the names of some free cells."""
        cells = zip(self.signs_at(code, seat), self._board.names, strict=True)
        return self._board.grid([name if sign == FREE and name in can else sign for sign, name in cells])

    def _usual_code(self, first: int, second: int, mover: int) -> int:
        """The first player's cells from bit 0 upward, then the second's, if that is how the file packs them."""
        code = first | second << self._board.size
        if not code >> self._game.bits:
            code = with_mover(self._game, code, mover)
            held = self._holdings(np.array([code], dtype=np.uint64))
            if (int(held[0][0]), int(held[1][0])) == (first, second):
                return code
        raise ValueError(
            "the file does not say which code such a board has; expected a function code_of in it"
        )


def moves_in(game: Game, code: int) -> list[str]:
    """The names of what can be played in a position; none when it is over."""
    codes = np.array([code], dtype=np.uint64)
    if game.ending(codes)[0] != UNFINISHED:
        return []
    return [game.move_names[move] for move in sorted(game.moves(codes).move.tolist())]


def in_a_row(names: Sequence[str]) -> list[str]:
    """Moves in as few lines as will do; nothing for none."""
    return textwrap.wrap(f"moves: {' '.join(names)}", WIDEST, break_on_hyphens=False) if names else []


def with_mover(game: Game, code: int, mover: int) -> int:
    """A code with its turn bit set so that `mover` is to play."""
    return code if int(game.mover(np.array([code], dtype=np.uint64))[0]) == mover else code ^ int(TURN)
