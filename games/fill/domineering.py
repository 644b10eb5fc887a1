"""Domineering: dominoes on a rectangle, upright ones by the first player and lying ones by the second.

A code holds the covered cells, one bit a cell; holes count as covered from the start.  Who cannot move
loses, or wins where the game is *misere*.  What matters is who begins, so both starts are given.
"""

import numpy as np

from games.bitsets import BitGame, bits_of, members_of, pair_images
from games.board import Board
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
)
from games.signs import HOLE, OPEN, Signs, as_grid, marked
from games.squares import symmetries_of

UPRIGHT, LYING = 0, 1
"""The way of a domino is the number of the player who lays it."""


class Domineering(BitGame):
    """Dominoes on a rectangle of cells, some of which may be holes."""

    refusals: tuple[str, ...] = ("not-your-way", "already-covered")

    def __init__(
        self,
        name: str,
        board: Board,
        holes: int = 0,
        *,
        title: str = "",
        origin: str = "",
        misere: bool = False,
    ) -> None:
        """`holes`: the cells that are none, as a set of bits."""
        self._board = board
        self.misere = misere
        self._holes = holes
        self._signs = Signs([board.columns] * board.rows, holes)
        self._all = np.uint64((1 << board.size) - 1)
        self._may_lie = np.uint64(bits_of([cell for cell in range(board.size) if (cell + 1) % board.columns]))
        ways = dominoes(board, holes)
        self._cells_of = [cells for cells, _ in ways]
        self._masks = np.array([bits_of(cells) for cells in self._cells_of], dtype=np.uint64)
        self._way = np.array([way for _, way in ways], dtype=np.uint8)
        self._move_at = np.zeros((2, board.size), dtype=np.uint16)
        for move, (cells, way) in enumerate(ways):
            self._move_at[way, cells[0]] = move
        turns = _turns(board, holes, ways)
        moves = pair_images(turns, self._cells_of)
        super().__init__(name, title, origin, f"{board.columns} x {board.rows}", turns, moves, holes)
        self.other_start = holes | 1 << TURN_BIT
        self.move_names = tuple("-".join(board.names[cell] for cell in cells) for cells in self._cells_of)

    @property
    def board(self) -> Board:
        """The rectangle with all its cells, holes too."""
        return self._board

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        return (
            "The two players take turns; the first player begins.",
            "Whose turn it is lays a domino on two free cells side by side or one below the other.",
            "The first player lays dominoes upright, the second player lying.",
            f"Whoever cannot lay one {'wins' if self.misere else 'loses'}, and the game is over.",
            f"A move names both cells: {self.move_names[0]}.",
        )

    def _room(self, codes: Codes) -> Codes:
        """The upper or left cells of all dominoes that the mover can lay, as sets."""
        free = ~codes & self._all
        upright = free & free >> np.uint64(self._board.columns)
        lying = free & free >> np.uint64(1) & self._may_lie
        return np.where(self.mover(codes) == FIRST, upright, lying)

    def moves(self, codes: Codes) -> MoveList:
        """Every domino that fits, for whose turn it is."""
        parent, cell = members_of(self._room(codes), self._board.size)
        move = self._move_at[self.mover(codes)[parent], cell]
        return MoveList(parent, move, (codes[parent] | self._masks[move]) ^ TURN)

    def ending(self, codes: Codes) -> Bytes:
        """Who has won because the mover has no room, or UNFINISHED."""
        loses = (self.mover(codes) == FIRST) != self.misere
        result = np.where(loses, SECOND_WINS, FIRST_WINS)
        return np.where(self._room(codes) == 0, result, UNFINISHED).astype(np.uint8)

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 for a domino that fits, 1 for one of the other player's way, 2 where a cell is covered."""
        covered = (codes & self._masks[moves]) != 0
        return np.where(self._way[moves] != self.mover(codes), 1, np.where(covered, 2, 0)).astype(np.uint8)

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The positions as people read and type them: ``##../...#/...#``."""
        return [self._signs.text(covered) for covered in (codes & self._all).tolist()]

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of a board as `texts` writes it.  Raises ValueError, with the reason, if it is none."""
        covered = self._signs.read(text)
        light = sum(1 for cell in range(self._board.size) if covered >> cell & 1 and self._is_light(cell))
        if 2 * light != covered.bit_count():
            raise ValueError(f"no dominoes can cover just the cells marked '#' in '{text}'")
        return covered | self._holes | mover << TURN_BIT

    def _is_light(self, cell: int) -> bool:
        """Cells coloured as on a chessboard: every domino covers one light and one dark cell."""
        return sum(divmod(cell, self._board.columns)) % 2 == 0

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The board row by row; `last` is the domino laid last; `named` shows the names of free cells in a grid."""
        signs = [" " if sign == HOLE else sign for sign in self._signs.of(code)]
        if not named:
            return marked(self._board, signs, () if last is None else self._cells_of[last])
        names = zip(signs, self._board.names, strict=True)
        return as_grid(self._board, [name if sign == OPEN else sign for sign, name in names])


def dominoes(board: Board, holes: int = 0) -> list[tuple[tuple[int, int], int]]:
    """Every domino that fits on the empty board, by its upper or left cell, upright before lying: cells and way."""
    found = []
    for cell in range(board.size):
        below, right = cell + board.columns, cell + 1
        if below < board.size:
            found.append(((cell, below), UPRIGHT))
        if right % board.columns:
            found.append(((cell, right), LYING))
    return [(cells, way) for cells, way in found if not bits_of(cells) & holes]


def _turns(board: Board, holes: int, ways: list[tuple[tuple[int, int], int]]) -> list[tuple[int, ...]]:
    """The turns of the rectangle that keep holes holes, upright dominoes upright and lying ones lying.

    Of those that take the dominoes alike, and differ on cells that no domino can cover, the first.
    """
    kept = [tuple(bits_of(cells) for cells, found in ways if found == way) for way in (UPRIGHT, LYING)]
    of_lying = symmetries_of(board, kept[LYING])
    of_holes = symmetries_of(board, (holes,))
    turns = [turn for turn in symmetries_of(board, kept[UPRIGHT]) if turn in of_lying and turn in of_holes]
    images = pair_images(turns, [cells for cells, _ in ways])
    return [turn for place, turn in enumerate(turns) if images[place] not in images[:place]]
