"""A limit of plies over any game: play that has not ended after so many plies is a draw.

How many plies have been made is part of the position, in a counter above the family's own bits, so a limit
makes a game larger.  Under house rules every ply counts, as it does in a distance: a turn that is lost by wrong
input, and wrong input that is forgiven where forgiving is counted.  So no line has more plies than the limit says.
"""

from typing import cast

import numpy as np

from games.board import Board
from games.codes import DRAW, TURN_BIT, UNFINISHED, Bytes, Codes, Indices, MoveIds, MoveList
from games.game import BoardGame, Game, LineGame, on_board, with_lines

MOST_PLIES = 1000
MOST_BITS_LIMITED = TURN_BIT - 1
"""At most so many bits hold a board and its count; one is left for a game lost by a house rule."""
ENDLESS = "Positions can come back, and play that never ends is a draw."
"""What the rules of a game say in which play can go on for ever; with a limit it is no longer true."""
PLY = "ply"
"""Stands before the number of moves made, behind a position's text."""


class LimitedGame:
    """A game that is a draw after so many moves; obeys the interface of a game itself."""

    can_repeat = False

    def __init__(self, game: Game, limit: int) -> None:
        """`limit`: how many moves may be made, at least 1."""
        self.unlimited = game
        self.limit = limit
        self.name, self.title, self.size, self.origin = game.name, game.title, game.size, game.origin
        self.start, self.other_start = game.start, game.other_start
        self.symmetries, self.move_names, self.refusals = game.symmetries, game.move_names, game.refusals
        self.bits = game.bits + limit.bit_length()
        self._at = np.uint64(game.bits)
        self._counter = np.uint64((1 << limit.bit_length()) - 1) << self._at

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words; the limit is the last."""
        moves = "1 move" if self.limit == 1 else f"{self.limit} moves"
        rules = (rule for rule in self.unlimited.rules if rule != ENDLESS)
        return (*rules, f"When {moves} have been made and nobody has won, the game is a draw.")

    def plies(self, codes: Codes) -> Codes:
        """How many moves have been made in these positions."""
        return (codes & self._counter) >> self._at

    def without_plies(self, codes: Codes) -> Codes:
        """The same positions of the game without a limit."""
        return codes & ~self._counter

    def moves(self, codes: Codes) -> MoveList:
        """The moves of the game without a limit, each of which is counted."""
        parent, move, child = self.unlimited.moves(self.without_plies(codes))
        counted = self.one_ply_on(codes) & self._counter
        return MoveList(parent, move, child | counted[parent])

    def one_ply_on(self, codes: Codes) -> Codes:
        """The same positions after one more ply: what wrong input that costs a ply makes of them."""
        return codes + (np.uint64(1) << self._at)

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is."""
        return self.unlimited.mover(self.without_plies(codes))

    def ending(self, codes: Codes) -> Bytes:
        """As without a limit; and a draw where it is reached."""
        ending = self.unlimited.ending(self.without_plies(codes))
        ending[(ending == UNFINISHED) & (self.plies(codes) >= np.uint64(self.limit))] = DRAW
        return ending

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The turned positions; the count stays as it is."""
        return self.unlimited.turned(symmetry, self.without_plies(codes)) | codes & self._counter

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """As without a limit."""
        return self.unlimited.turned_move(symmetry, moves)

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """As without a limit."""
        return self.unlimited.why_not(self.without_plies(codes), moves)

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The positions as people type them, and behind them how many moves have been made."""
        texts = self.unlimited.texts(self.without_plies(codes), seat)
        return [
            f"{text} {PLY} {count}" for text, count in zip(texts, self.plies(codes).tolist(), strict=True)
        ]

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of a position as `texts` writes it.  Raises ValueError, with the reason, if it is none."""
        position, found, count = text.rpartition(f" {PLY} ")
        number = count.strip()
        if (
            not found
            or not number.isdecimal()
            or len(number) > len(str(self.limit))
            or int(number) > self.limit
        ):
            raise ValueError(
                f"expected '{PLY}' and the number of moves made (0 to {self.limit}) behind the position, not '{text}'"
            )
        return self.unlimited.read(position, seat, mover) | int(number) << int(self._at)

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """As without a limit, and below it how many moves have been made."""
        codes = np.array([code], dtype=np.uint64)
        rows = self.unlimited.drawing(int(self.without_plies(codes)[0]), seat, last, named=named)
        return [*rows, f"{PLY} {int(self.plies(codes)[0])} of {self.limit}"]


class LimitedBoardGame(LimitedGame):
    """The same over a game on cells that each player can hold."""

    @property
    def board(self) -> Board:
        """The cells as people see them."""
        return cast(BoardGame, self.unlimited).board

    def holdings(self, codes: Codes) -> tuple[Codes, Codes]:
        """The cells that the first and the second player hold, as sets of bits."""
        return cast(BoardGame, self.unlimited).holdings(self.without_plies(codes))

    def code_of(self, first: int, second: int, mover: int) -> int:
        """The code of a board given as two sets of cells before any move is counted."""
        return cast(BoardGame, self.unlimited).code_of(first, second, mover)


class LimitedLineGame(LimitedBoardGame):
    """The same over a game of marks and lines."""

    @property
    def lines(self) -> tuple[int, ...]:
        """Each line as a set of cells."""
        return cast(LineGame, self.unlimited).lines

    @property
    def cell_images(self) -> tuple[tuple[int, ...], ...]:
        """For each symmetry where each cell goes."""
        return cast(LineGame, self.unlimited).cell_images

    def moves_onto(self, codes: Codes, cells: Codes) -> tuple[Indices, MoveIds]:
        """The legal moves that put a mark on one of these cells."""
        return cast(LineGame, self.unlimited).moves_onto(self.without_plies(codes), cells)


def limited(game: Game, limit: int) -> LimitedGame:
    """The game with a limit of plies, as good a board game as it is without one."""
    if with_lines(game) is not None:
        return LimitedLineGame(game, limit)
    return LimitedBoardGame(game, limit) if on_board(game) is not None else LimitedGame(game, limit)
