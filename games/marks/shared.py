"""Marks that belong to nobody: each player puts an X or an O as they like, or both players put the same X.

Whoever completes a line of equal marks wins, or loses where the game is *misere*.  A code holds the cells with an
X in bits 0 to n-1 and, where there are two signs, those with an O in bits n to 2n-1.  Nobody holds a cell here,
so a rule sheet can say nothing about lines of one's own.
"""

from collections.abc import Sequence

import numpy as np

from games.bitsets import Images, bits_of
from games.board import FREE, Board, cells_with
from games.codes import (
    DRAW,
    FIRST_WINS,
    SECOND,
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
from games.marks.cells import MarkedCells
from games.marks.marks import hold_a_line
from games.squares import symmetries_of


class SharedMarks(MarkedCells):
    """A game of marks of nobody's own; `signs`: the marks that a player may put, ``XO`` or ``X``."""

    refusals: tuple[str, ...] = ("taken",)
    start = 0

    def __init__(
        self,
        name: str,
        board: Board,
        lines: Sequence[tuple[int, ...]],
        signs: str,
        *,
        title: str = "",
        origin: str = "",
        misere: bool = False,
    ) -> None:
        super().__init__(name, board, title, origin, misere=misere)
        self.signs = signs
        self.bits = len(signs) * board.size
        self.move_names = tuple(self._move_name(cell, sign) for cell in board.names for sign in signs)
        self._lines = tuple(bits_of(line) for line in lines)
        self._line_names = ["-".join(board.names[cell] for cell in line) for line in lines]
        self._all = np.uint64((1 << board.size) - 1)
        self._find_symmetries()

    def _move_name(self, cell: str, sign: str) -> str:
        """The cell's name, and before it the sign where there is a choice: ``x5``."""
        return sign.lower() + cell if len(self.signs) > 1 else cell

    @property
    def cells_in_lines(self) -> list[tuple[int, ...]]:
        """The cells of each line."""
        return [tuple(cell for cell in range(self.board.size) if line >> cell & 1) for line in self._lines]

    def _find_symmetries(self) -> None:
        """Turned boards, and the same once more with the signs exchanged: to whom a mark belongs does not matter."""
        turns = symmetries_of(self.board, self._lines)
        exchanges = range(len(self.signs))
        self._turns = [(Images(turn), exchange) for exchange in exchanges for turn in turns]
        self.symmetries = len(self._turns)
        count = len(self.signs)
        self._move_images = [
            np.array(
                [count * cell + (sign ^ exchange) for cell in turn for sign in exchanges], dtype=np.uint16
            )
            for exchange in exchanges
            for turn in turns
        ]

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        result = "loses" if self.misere else "wins"
        first = self.board.names[0]
        puts = (
            f"an X or an O, as they like: x{first} is an X on cell {first}" if len(self.signs) > 1 else "an X"
        )
        return (
            "The two players take turns; the first player begins.",
            f"Whose turn it is puts on one free cell {puts}.",
            f"Whoever completes a line of equal marks {result}, whoever put them, and the game is over.",
            "When the board is full and no line is, the game is a draw.",
            f"Lines: {', '.join(self._line_names)}.",
            *self.board.in_words(),
        )

    def _planes(self, codes: Codes) -> list[Codes]:
        """For each sign the cells on which it stands, as sets of bits."""
        return [codes >> np.uint64(place * self.board.size) & self._all for place in range(len(self.signs))]

    def _taken(self, codes: Codes) -> Codes:
        """The cells on which something stands."""
        taken: Codes = np.bitwise_or.reduce(self._planes(codes))
        return taken

    def moves(self, codes: Codes) -> MoveList:
        """Every sign on every free cell."""
        taken = self._taken(codes)
        parents, moves, children = [], [], []
        for cell in range(self.board.size):
            parent = np.flatnonzero(taken & np.uint64(1 << cell) == 0)
            for place in range(len(self.signs)):
                parents.append(parent)
                moves.append(np.full(len(parent), len(self.signs) * cell + place, dtype=np.uint16))
                children.append((codes[parent] | np.uint64(1 << place * self.board.size + cell)) ^ TURN)
        return MoveList(np.concatenate(parents), np.concatenate(moves), np.concatenate(children))

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is, as the turn bit says."""
        return turn_of(codes)

    def ending(self, codes: Codes) -> Bytes:
        """A full line is the doing of who moved last; else a draw on a full board, or UNFINISHED."""
        ending = np.where(self._taken(codes) == self._all, DRAW, UNFINISHED).astype(np.uint8)
        is_full = np.zeros(len(codes), dtype=bool)
        for plane in self._planes(codes):
            is_full |= hold_a_line(plane, self._lines)
        by_first = self.mover(codes) == SECOND
        result = np.where(by_first != self.misere, FIRST_WINS, SECOND_WINS).astype(np.uint8)
        ending[is_full] = result[is_full]
        return ending

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 for a free cell, 1 for one on which something stands."""
        cell = (moves // len(self.signs)).astype(np.uint64)
        return (self._taken(codes) >> cell & np.uint64(1)).astype(np.uint8)

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The same positions on the turned board, the signs exchanged or not."""
        images, exchange = self._turns[symmetry]
        image: Codes = codes & TURN
        for place, plane in enumerate(self._planes(codes)):
            image |= images.of_sets(plane) << np.uint64((place ^ exchange) * self.board.size)
        return image

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """The moves as they are called after `turned` with the same symmetry."""
        return self._move_images[symmetry][moves]

    def _signs_of(self, code: int) -> list[str]:
        """What stands on each cell."""
        found = [FREE] * self.board.size
        for place, sign in enumerate(self.signs):
            for cell in range(self.board.size):
                if code >> place * self.board.size + cell & 1:
                    found[cell] = sign
        return found

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The positions as people read and type them, whoever sits where: ``X__/_O_/___``."""
        return [self.board.written(self._signs_of(code)) for code in codes.tolist()]

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of a board as `texts` writes it.  Raises ValueError, with the reason, if it is none."""
        found = self.board.read_signs(text, (*self.signs, FREE))
        cells = [cells_with(sign, found) << place * self.board.size for place, sign in enumerate(self.signs)]
        return sum(cells) | mover << TURN_BIT

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The board row by row; `last` is the move made last; `named` shows the names of free cells in a grid."""
        found = self._signs_of(code)
        if not named:
            return self.board.drawn(found, None if last is None else last // len(self.signs))
        names = zip(found, self.board.names, strict=True)
        return self.board.grid([name if sign == FREE else sign for sign, name in names])
