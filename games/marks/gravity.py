"""Marks that fall: whose turn it is names a column, and a mark of theirs falls to the lowest free cell in it.

A code has a field of rows + 1 bits for each column, the leftmost column's lowest.  From the bottom of the column
up they are the colours of its marks, 0 the first player's and 1 the second's, then a single 1, the *lid*, then
zeros.  So a mark is put by adding: the lid once (it moves up, and leaves a 0) or twice (it leaves a 1).
"""

from collections.abc import Sequence

import numpy as np

from games.bitsets import Images, bits_of
from games.board import FREE, LETTERS, Board
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
from games.marks.marks import hold_a_line
from games.onboard import OnBoard
from games.squares import symmetries_of


class Gravity(MarkedCells, OnBoard):
    """A game of marks that fall, on a rectangle without holes; a move is a column."""

    refusals: tuple[str, ...] = ("column-full",)

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
        self.move_names = tuple(LETTERS[: board.columns])
        self.lines = tuple(bits_of(line) for line in lines)
        self._lay_out()
        self._line_bits = tuple(bits_of([self._bit_of[cell] for cell in line]) for line in lines)
        self._find_symmetries()

    def _lay_out(self) -> None:
        """Where columns and cells stand in a code."""
        board = self._board
        self._field = field = board.rows + 1
        self.bits = board.columns * field
        self.start = bits_of(range(0, self.bits, field))
        self._columns = [np.uint64((1 << field) - 1 << low) for low in range(0, self.bits, field)]
        self._tops = np.array([1 << low + board.rows for low in range(0, self.bits, field)], dtype=np.uint64)
        self._full = np.bitwise_or.reduce(self._tops)
        self._bit_of = [
            column * field + board.rows - 1 - row for column, row in map(board.where, range(board.size))
        ]
        cell_at = [board.size] * self.bits  # no cell stands above the top row, and no mark is ever there
        for cell, bit in enumerate(self._bit_of):
            cell_at[bit] = cell
        self._to_cells, self._to_bits = Images(cell_at), Images(self._bit_of)

    def _find_symmetries(self) -> None:
        """The identity, and left and right exchanged where that keeps the lines."""
        board = self._board
        upright = [
            images
            for images in symmetries_of(board, self.lines)
            if all(board.where(image)[1] == board.where(cell)[1] for cell, image in enumerate(images))
        ]
        self.cell_images = tuple(upright)
        self.symmetries = len(upright)
        self._move_images = [
            np.array([board.where(images[column])[0] for column in range(board.columns)], dtype=np.uint16)
            for images in upright
        ]

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        result = "loses" if self.misere else "wins"
        return (
            "The two players take turns; the first player begins.",
            "Whose turn it is names a column that is not full, and a mark of theirs falls to its lowest free cell.",
            f"Whoever fills a whole line with marks of their own {result}, and the game is over.",
            "When the board is full and no line is, the game is a draw.",
        )

    # The code ------------------------------------------------------------------------------------------------

    def _lids(self, codes: Codes) -> tuple[Codes, Codes]:
        """The lids, one bit in each column's field, and the bits below them: what is filled."""
        below = codes & np.uint64((1 << self.bits) - 1)
        reach = 1
        while reach < self._field:  # let every set bit fill the bits below it in its own field
            below |= below >> np.uint64(reach) & self._all_but_the_upper(reach)
            reach *= 2
        filled = below >> np.uint64(1) & self._all_but_the_upper(1)
        return below ^ filled, filled

    def _all_but_the_upper(self, count: int) -> np.uint64:
        """Every bit of the fields but so many of the uppermost in each."""
        return np.uint64(((1 << self._field - count) - 1) * self.start)

    def _marks(self, codes: Codes) -> tuple[Codes, Codes]:
        """The marks of the first and the second player, by the bits of a code."""
        _, filled = self._lids(codes)
        return filled & ~codes, filled & codes

    def holdings(self, codes: Codes) -> tuple[Codes, Codes]:
        """The cells that the first and the second player hold, as sets of bits."""
        first, second = self._marks(codes)
        return self._to_cells.of_sets(first), self._to_cells.of_sets(second)

    def code_of(self, first: int, second: int, mover: int) -> int:
        """The code of a board given as two sets of cells, with `mover` to play.

        Raises ValueError if a mark hangs in the air.
        """
        taken, down, names = first | second, self._board.columns, self._board.names
        for cell in range(self._board.size - down):
            if taken >> cell & 1 and not taken >> cell + down & 1:
                raise ValueError(f"the mark on {names[cell]} hangs in the air: {names[cell + down]} is free")
        sets = [np.array([cells], dtype=np.uint64) for cells in (first, second)]
        return int(self.codes_of(sets[0], sets[1], mover)[0])

    def codes_of(self, first: Codes, second: Codes, mover: int) -> Codes:
        """The same for many boards at once, in which no mark may hang in the air."""
        filled = self._to_bits.of_sets(first | second)
        lids = filled + np.uint64(self.start)
        codes: Codes = lids | self._to_bits.of_sets(second) | np.uint64(mover << TURN_BIT)
        return codes

    # Play ----------------------------------------------------------------------------------------------------

    def moves(self, codes: Codes) -> MoveList:
        """A mark in every column that is not full."""
        lids, _ = self._lids(codes)
        lids &= ~self._full
        mover = self.mover(codes).astype(np.uint64)
        parents, moves, children = [], [], []
        for move, column in enumerate(self._columns):
            lid = lids & column
            parent = np.flatnonzero(lid)
            parents.append(parent)
            moves.append(np.full(len(parent), move, dtype=np.uint16))
            children.append((codes[parent] + (lid[parent] << mover[parent])) ^ TURN)
        return MoveList(np.concatenate(parents), np.concatenate(moves), np.concatenate(children))

    def moves_onto(self, codes: Codes, cells: Codes) -> tuple[Indices, MoveIds]:
        """The legal moves that put a mark on one of these cells: places in `codes` and moves, sorted by both."""
        reached = self._lids(codes)[0] & self._to_bits.of_sets(cells)
        place, column = np.nonzero(np.stack([reached & column for column in self._columns], axis=1))
        return place, column.astype(np.uint16)

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is, as the turn bit says."""
        return turn_of(codes)

    def ending(self, codes: Codes) -> Bytes:
        """Who has won, or a draw, or UNFINISHED."""
        ending = np.where(codes & self._full == self._full, DRAW, UNFINISHED).astype(np.uint8)
        first, second = self._marks(codes)
        of_first, of_second = (SECOND_WINS, FIRST_WINS) if self.misere else (FIRST_WINS, SECOND_WINS)
        ending[hold_a_line(first, self._line_bits)] = of_first
        ending[hold_a_line(second, self._line_bits)] = of_second
        return ending

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 for a column with a free cell, 1 for a full one."""
        is_full: Flags = codes & self._tops[moves] != 0
        return is_full.astype(np.uint8)

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The same positions, or their mirror images: whole columns change places."""
        image: Codes = codes & TURN
        bits = np.uint64((1 << self._field) - 1)
        for column, goes in enumerate(self._move_images[symmetry].tolist()):
            field = codes >> np.uint64(column * self._field) & bits
            image |= field << np.uint64(goes * self._field)
        return image

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """The columns as they are called after `turned` with the same symmetry."""
        return self._move_images[symmetry][moves]

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The board row by row; `last` points out the top mark of that column; `named` puts the letters below."""
        signs = self.signs_at(code, seat)
        cells = (
            range(self._board.size) if last is None else range(last, self._board.size, self._board.columns)
        )
        top = None if last is None else next((cell for cell in cells if signs[cell] != FREE), None)
        letters = ["".join(f" {name} " for name in self.move_names)] if named else []
        return self._board.drawn(signs, top) + letters
