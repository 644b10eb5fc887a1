"""The family **advance**: men that go forward over a small board, step by step, and never back.

Hexapawn and dodgem are of this family, and what lies between and beside them: where the men stand, which steps
and captures they know, what it means to get across, to have no man left and to be unable to move.

A code holds the first player's men in bits 0 to n-1 and the second's in bits n to 2n-1, by cell.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from games.board import Board
from games.codes import (
    DRAW,
    FIRST,
    SECOND,
    TURN,
    TURN_BIT,
    UNFINISHED,
    Bytes,
    Codes,
    Flags,
    MoveIds,
    MoveList,
    turn_of,
    win_of,
)
from games.onboard import OnBoard
from games.squares import symmetries_of
from games.ways import OFF_BOARD, ONTO_FREE, ONTO_OTHER, Side, Way, cells_of, men_able, shifted

MOST_CELLS = 28
"""Two bits a cell, and room above for house rules and the turn."""
OFF, PASS = "off", "pass"
"""How people type that a man leaves the board (``a1-off``), and that they have to pass."""
WINS, LOSES, DRAWS, LEAVES, PASSES, NOTHING = "wins", "loses", "draws", "leaves", "passes", "nothing"
AT_FAR_EDGE = (WINS, LOSES, LEAVES, NOTHING)
"""What may come of a man on the far edge: its side wins or loses, it may leave the board, or it just stands there."""
WITHOUT_MEN = (WINS, LOSES, DRAWS)
WHEN_BLOCKED = (LOSES, WINS, DRAWS, PASSES)


class Laws(NamedTuple):
    """What is decided by what: each a word of the lists above; `must_capture`: whether whoever can capture must."""

    far_edge: str = WINS
    no_men: str = LOSES
    blocked: str = LOSES
    must_capture: bool = False


class _Step(NamedTuple):
    """One man's move: its number, the bit of the cell where the man stands, and the bits of a code that it changes."""

    move: int
    bit: np.uint64
    flip: np.uint64


class Advance(OnBoard):
    """A game of men that advance over a rectangle of cells.

    first, second: the two sides, with their men at the start and the ways that they go.
    """

    start: int
    bits: int

    def __init__(
        self,
        name: str,
        board: Board,
        first: Side,
        second: Side,
        laws: Laws,
        *,
        title: str = "",
        origin: str = "",
    ) -> None:
        self.name, self.title, self.origin = name, title or name, origin
        self.size = f"{board.columns} x {board.rows}"
        self.laws = laws
        self.sides = (first, second)
        self.bits = 2 * board.size
        self._board = board
        self._all_cells = np.uint64((1 << board.size) - 1)
        self.start = self.code_of(first.men, second.men, FIRST)
        self._lay_out_moves()
        self._lay_out_refusals()
        self._find_symmetries()
        sideways = any(abs(way.shift) == self._aside(side) for side in self.sides for way in side.ways)
        # Whoever has to pass gives the same position back to a visitor who has just lost a turn by wrong input.
        self.can_repeat = sideways or laws.blocked == PASSES

    def _aside(self, side: Side) -> int:
        return 1 if side.heading in ("up", "down") else self._board.columns
