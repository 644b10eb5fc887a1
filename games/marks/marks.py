"""The family **marks**: each player in turn puts a mark of their own on a free cell; a full line ends the game.

A code holds the first player's cells in bits 0 to n-1 and the second's in bits n to 2n-1.  Owning a line
wins, or loses where the game is *misere*; a full board without a line is a draw.
"""

from collections.abc import Sequence

import numpy as np

from games.bitsets import Images, members_of
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
    Indices,
    MoveIds,
    MoveList,
    turn_of,
)
from games.marks.cells import MarkedCells
from games.onboard import OnBoard
from games.squares import symmetries_of

MOST_CELLS = 28
"""Two bits a cell, and room above for house rules and the turn."""


class Marks(MarkedCells, OnBoard):
    """A game of placing marks on the cells of a board."""

    refusals: tuple[str, ...] = ("taken-by-first", "taken-by-second")
    bits: int
    start = 0

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
        super().__init__(name, board, title, origin, misere=misere)
        self.bits = 2 * board.size
        self.move_names = board.names
        self.lines = tuple(sum(1 << cell for cell in line) for line in lines)
        self._all_cells = (1 << board.size) - 1
        self.cell_images = tuple(symmetries_of(board, self.lines))
        self.symmetries = len(self.cell_images)
        self._images = [Images(images) for images in self.cell_images]

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        result = "loses" if self.misere else "wins"
        return (
            "The two players take turns; the first player begins.",
            "Whose turn it is puts a mark on one free cell.",
            f"Whoever fills a whole line with marks of their own {result}, and the game is over.",
            "When the board is full and no line is, the game is a draw.",
            *self._board.in_words(),
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

    def moves_onto(self, codes: Codes, cells: Codes) -> tuple[Indices, MoveIds]:
        """The legal moves that put a mark on one of these cells: places in `codes` and moves, sorted by both."""
        first, second = self.holdings(codes)
        place, cell = members_of(cells & ~(first | second), self._board.size)
        return place, cell.astype(np.uint16)

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is, as the turn bit says."""
        return turn_of(codes)

    def ending(self, codes: Codes) -> Bytes:
        """Who has won, or a draw, or UNFINISHED."""
        first, second = self.holdings(codes)
        ending = np.where(first | second == np.uint64(self._all_cells), DRAW, UNFINISHED).astype(np.uint8)
        of_first, of_second = (SECOND_WINS, FIRST_WINS) if self.misere else (FIRST_WINS, SECOND_WINS)
        ending[hold_a_line(first, self.lines)] = of_first
        ending[hold_a_line(second, self.lines)] = of_second
        return ending

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The same positions on the turned board."""
        first, second = self.holdings(codes)
        of_sets = self._images[symmetry].of_sets
        image: Codes = of_sets(first) | of_sets(second) << np.uint64(self._board.size) | codes & TURN
        return image

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """Where the moves' cells go on the turned board."""
        return np.array(self.cell_images[symmetry], dtype=np.uint16)[moves]

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 for a free cell, 1 for one of the first player's, 2 for one of the second's."""
        first, second = self.holdings(codes)
        cell = moves.astype(np.uint64)
        return ((first >> cell & np.uint64(1)) + (second >> cell & np.uint64(1)) * np.uint64(2)).astype(
            np.uint8
        )


def hold_a_line(sets: Codes, lines: Sequence[int]) -> Flags:
    """Which of these sets of cells, (n,), hold at least one whole line."""
    found = np.zeros(len(sets), dtype=bool)
    for line in lines:
        found |= sets & np.uint64(line) == np.uint64(line)
    return found
