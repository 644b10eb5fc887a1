"""Northcott's game: on each strip one man of either side; men slide along their strip and never jump.

Whoever cannot move has lost (or has won, where the game is *misere*).  Men may move away from each other as
well, so positions can come back, unless only moves forward are allowed.  Source: E. R. Berlekamp, J. H.
Conway and R. K. Guy, Winning Ways, 1982, chapter 3 (from memory).

A code holds the column of each man: for each strip the first player's and then the second's, strip a lowest.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from games.board import Board
from games.codes import FIRST, SECOND, TURN, TURN_BIT, Bytes, Codes, Flags, MoveIds, MoveList, turn_of
from games.interchange import interchanges
from games.last_move import LastMove
from games.limited import ENDLESS
from games.onboard import OnBoard

SIGNS = "FS_"
"""The first player's man, the second's, a free cell."""
JUMPS, GOES_BACK = "jumps", "goes-back"
_SWAP = str.maketrans("FS", "SF")


class Northcott(LastMove, OnBoard):
    """Strips of equal length, each with one man of either side; a move is named by the cell where a man goes."""

    def __init__(
        self,
        name: str,
        strips: Sequence[str],
        *,
        title: str = "",
        origin: str = "",
        forward_only: bool = False,
        misere: bool = False,
    ) -> None:
        """Each strip as it stands at the start, such as ``F__S``."""
        self.name = name
        self.title = title or name
        self.origin = origin
        self.strips = tuple(strips)
        self.forward_only = forward_only
        self.misere = misere
        self.can_repeat = not forward_only
        columns, rows = len(strips[0]), len(strips)
        self.size = f"{columns} x {rows}"
        self._board = Board(columns, rows, tuple(map(str, range(1, columns + 1))) if rows == 1 else ())
        self.move_names = self._board.names
        back = (GOES_BACK,) if forward_only else ()
        self.refusals = (JUMPS, *back, "taken-by-first", "taken-by-second")
        self._width = (columns - 1).bit_length()
        self._mask = np.uint64((1 << self._width) - 1)
        self.bits = 2 * self._width * rows
        places = [(strip.index("F"), strip.index("S")) for strip in strips]
        self.start = self._code(places)
        swapped = [_facing_right(strip.translate(_SWAP)) for strip in strips]
        looks_alike = sorted(swapped) == sorted(map(_facing_right, strips))
        self.other_start = None if looks_alike else self.start | 1 << TURN_BIT
        self._goes = interchanges([_facing_right(strip) for strip in strips])
        self.symmetries = len(self._goes)
        self._move_images = [self._images_of_moves(goes) for goes in self._goes]

    @property
    def board(self) -> Board:
        """The strips as rows of one board."""
        return self._board

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        where = "towards the other man" if self.forward_only else "towards the other man or away from it"
        endless = () if self.forward_only else (ENDLESS,)
        return (
            "The two players take turns; the first player begins.",
            "On each strip stands one man of either side, and stays on it.",
            f"Whose turn it is slides one man any number of free cells {where}, without jumping.",
            self.end_in_words(),
            *endless,
            f"A move is the cell where the man goes: {self.move_names[1]}.",
        )

    def _shift(self, strip: int, player: int) -> int:
        """The lowest bit of a man's column in a code."""
        return self._width * (2 * strip + player)

    def _code(self, places: Sequence[tuple[int, int]]) -> int:
        return sum(
            column << self._shift(strip, player)
            for strip, columns in enumerate(places)
            for player, column in enumerate(columns)
        )

    def _columns(self, codes: Codes, strips: npt.NDArray[np.uint64] | int, players: Bytes | int) -> Codes:
        """Where the men of these players stand on these strips: (n,) columns."""
        men = np.uint64(2) * np.uint64(strips) + np.asarray(players, dtype=np.uint64)
        shift = men * np.uint64(self._width)
        columns: Codes = codes >> shift & self._mask
        return columns

    def holdings(self, codes: Codes) -> tuple[Codes, Codes]:
        """The cells that the first and the second player hold, as sets of bits."""
        held = []
        for player in (FIRST, SECOND):
            cells = np.zeros_like(codes)
            for strip in range(len(self.strips)):
                first_cell = np.uint64(self._board.cell(0, strip))
                cells |= np.uint64(1) << self._columns(codes, strip, player) + first_cell
            held.append(cells)
        return held[FIRST], held[SECOND]

    def code_of(self, first: int, second: int, mover: int) -> int:
        """The code of a board given as two sets of cells.  Raises ValueError if these are no men on strips."""
        places = []
        for number, strip in enumerate(self.strips):
            held = [cells >> number * len(strip) & (1 << len(strip)) - 1 for cells in (first, second)]
            if any(cells.bit_count() != 1 for cells in held):
                raise ValueError(f"strip {number + 1} of this position has not one man of either side")
            place = held[0].bit_length() - 1, held[1].bit_length() - 1
            if (place[0] < place[1]) != (strip.index("F") < strip.index("S")):
                raise ValueError(f"the men on strip {number + 1} have jumped over each other")
            places.append(place)
        return self._code(places) | mover << TURN_BIT

    def _refused(self, codes: Codes, moves: MoveIds) -> list[Flags]:
        """For each reason of `refusals` where it holds, for pairs of a position and a move."""
        strip, column = np.divmod(moves.astype(np.uint64), np.uint64(self._board.columns))
        mover = turn_of(codes)
        places = [self._columns(codes, strip, player) for player in (FIRST, SECOND)]
        own, other = np.where(mover == FIRST, places, places[::-1])
        is_free = (column != own) & (column != other)
        jumps = is_free & ((column < other) != (own < other))
        goes_back = is_free & ~jumps & ((column < own) == (own < other))
        return [
            jumps,
            *([goes_back] if self.forward_only else []),
            column == places[FIRST],
            column == places[SECOND],
        ]

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 where a move is legal, else 1 + the place in `refusals`."""
        reasons = np.zeros(len(codes), dtype=np.uint8)
        for number, where in enumerate(self._refused(codes, moves), 1):
            reasons[where] = number
        return reasons

    def moves(self, codes: Codes) -> MoveList:
        """Every slide of a man of whose turn it is; only unfinished positions may be asked about."""
        parents = [np.flatnonzero(self.playable(codes, move)) for move in range(self._board.size)]
        parent = np.concatenate(parents)
        move = np.repeat(np.arange(self._board.size, dtype=np.uint16), [len(each) for each in parents])
        strip, column = np.divmod(move.astype(np.uint64), np.uint64(self._board.columns))
        before, mover = codes[parent], turn_of(codes[parent])
        shift = (np.uint64(2) * strip + mover) * np.uint64(self._width)
        without = before & ~(self._mask << shift)
        return MoveList(parent, move, (without | column << shift) ^ TURN)

    def playable(self, codes: Codes, move: int) -> Flags:
        """In which of these positions a man can go to one cell."""
        playable: Flags = self.why_not(codes, np.full(len(codes), move, dtype=np.uint16)) == 0
        return playable

    def _mirrors(self, strip: int, goes: Sequence[int]) -> bool:
        """Whether a strip has to be mirrored to look like the one in whose place it goes."""
        return self.strips[strip] != self.strips[goes[strip]]

    def _images_of_moves(self, goes: Sequence[int]) -> MoveIds:
        board = self._board
        images = []
        for move in range(board.size):
            strip, column = divmod(move, board.columns)
            target = board.columns - 1 - column if self._mirrors(strip, goes) else column
            images.append(board.cell(target, goes[strip]))
        return np.array(images, dtype=np.uint16)

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The same positions with strips that began alike in each other's places, turned to face like the other."""
        goes = self._goes[symmetry]
        image = codes & TURN
        for strip in range(len(self.strips)):
            for player in (FIRST, SECOND):
                column = self._columns(codes, strip, player)
                if self._mirrors(strip, goes):
                    column = np.uint64(self._board.columns - 1) - column
                image |= column << np.uint64(self._shift(goes[strip], player))
        return image

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """The moves as they are called after `turned`."""
        return self._move_images[symmetry][moves]


def _facing_right(strip: str) -> str:
    """A strip as it looks from the side from which the first player's man stands left."""
    return strip if strip.index("F") < strip.index("S") else strip[::-1]
