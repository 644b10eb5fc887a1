"""Boards as numbers, moves as places, and the boards that a table stores: every one, or one of each that are alike."""

from collections.abc import Callable
from typing import NamedTuple, cast

import numpy as np

from budget.packed import NO_MOVE, NotApplicable
from games.codes import SECOND, TURN, Bytes, Codes, Indices, MoveIds, MoveList, by_parent, distinct
from games.game import BoardGame, Game, inverse_symmetries, least_images, on_board
from games.housed import HousedGame
from games.limited import LimitedGame
from solver.fixed import TURNED, FixedPlay

# Boards as numbers --------------------------------------------------------------------------------------------


class Numbering:
    """A way to make numbers of a game's boards with the machine to move.

    by_cells: cells are digits in base 3, cell 0 the lowest: 0 where it is free, 1 the machine's, 2 the visitor's.
    Else the number is the game's own code without the turn.  Where plies are counted, they are the highest digit.
    """

    __slots__ = ("_bare", "_board_span", "_game", "_limited", "bits", "by_cells")

    def __init__(self, game: HousedGame, *, by_cells: bool) -> None:
        self._game = game
        self._limited = game.fair if isinstance(game.fair, LimitedGame) else None
        self._bare = _without_plies(game.fair)
        self.by_cells = by_cells
        self._board_span = 3 ** _cells(self._bare) if by_cells else 1 << self._bare.bits
        plies = 1 if self._limited is None else self._limited.limit + 1
        self.bits = (self._board_span * plies - 1).bit_length()
        """How many bits hold any number."""

    def __call__(self, codes: Codes) -> Codes:
        """The boards' numbers, (n,)."""
        if self._limited is None:
            return self._numbers(codes)
        plies = self._limited.plies(codes) * np.uint64(self._board_span)
        return plies + self._numbers(self._limited.without_plies(codes))

    def _numbers(self, codes: Codes) -> Codes:
        if not self.by_cells:
            return codes & ~TURN
        board = cast(BoardGame, self._bare)
        first, second = board.holdings(codes)
        numbers = np.zeros(len(codes), dtype=np.uint64)
        for digit, held in enumerate((second, first) if self._game.seat == SECOND else (first, second), 1):
            for cell in range(board.board.size):
                numbers += (held >> np.uint64(cell) & np.uint64(1)) * np.uint64(digit * 3**cell)
        return numbers


def numberings(game: HousedGame) -> tuple[Numbering, ...]:
    """The numberings that a table of this game can choose from, the narrowest first: one, or at most two.

    A code that takes two bits for each cell says who holds which and no more.  If it takes fewer, it is narrower than
    cells; if it takes more, it says more, and whether cells alone tell a play's boards apart is to be seen.
    """
    bare = _without_plies(game.fair)
    cells = _cells(bare)
    by_cells = (True,) if bare.bits == 2 * cells else (True, False) if bare.bits > 2 * cells > 0 else (False,)
    return tuple(Numbering(game, by_cells=each) for each in by_cells)


def _without_plies(game: Game) -> Game:
    return game.unlimited if isinstance(game, LimitedGame) else game


def _cells(game: Game) -> int:
    """How many cells a game has that can be held; 0 where it has none."""
    on_cells = on_board(game)
    return 0 if on_cells is None else on_cells.board.size


# Moves as places ----------------------------------------------------------------------------------------------


def places_of(game: Game, codes: Codes, moves: MoveIds) -> Codes:
    """For each board and a legal move on it the move's place among the legal ones, from 0, in the game's order."""
    legal, begins = _legal(game, codes)
    found = np.nonzero(moves[legal.parent] == legal.move)[0]
    return (found - begins[legal.parent[found]]).astype(np.uint64)


def moves_at(game: Game, codes: Codes, places: Codes) -> MoveIds:
    """The move at a place among the legal ones of each board; NO_MOVE where there are fewer."""
    legal, begins = _legal(game, codes)
    counts = np.diff(begins).astype(np.uint64)
    found = np.full(len(codes), NO_MOVE, dtype=np.uint16)
    there = places < counts
    found[there] = legal.move[begins[:-1][there] + places[there].astype(np.intp)]
    return found


def playable_moves(game: Game) -> int:
    """How many moves can be made: where a family has names for more, the numbers of those come last."""
    bare = _without_plies(game)
    moves: int = getattr(bare, "playable_moves", len(bare.move_names))
    return moves


def _legal(game: Game, codes: Codes) -> tuple[MoveList, Indices]:
    """The legal moves board by board, and where those of each board begin: (n + 1,)."""
    legal = by_parent(game.moves(codes))
    return legal, np.searchsorted(legal.parent, np.arange(len(codes) + 1)).astype(np.intp)


# What a table stores ------------------------------------------------------------------------------------------


class Numbered(NamedTuple):
    """The boards to store as numbers, increasing, and the move on each: its number, and its place among legal ones.

    numbering: which of the game's numberings was taken, by its place; codes: the boards as the game has them.
    """

    numbering: int
    codes: Codes
    numbers: Codes
    moves: Codes
    places: Codes

    def said(self) -> tuple["Said", ...]:
        """The ways to say the moves: by number, and by place where that takes fewer bits."""
        by_number, by_place = Said(by_place=False, values=self.moves), Said(by_place=True, values=self.places)
        return (by_number, by_place) if by_place.bits < by_number.bits else (by_number,)


class Said(NamedTuple):
    """Moves as a table says them: by their numbers, or by their places among the legal moves of their boards."""

    by_place: bool
    values: Codes

    @property
    def bits(self) -> int:
        """How many bits hold each of them."""
        return int(self.values.max(initial=0)).bit_length()

    @property
    def note(self) -> str:
        """For people."""
        return "moves by place" if self.by_place else "moves by number"

    def on(self, game: Game, boards: Codes) -> MoveIds:
        """The moves that these values mean on these boards; NO_MOVE for what is none."""
        if self.by_place:
            return moves_at(game, boards, self.values)
        return np.where(self.values < len(game.move_names), self.values, NO_MOVE).astype(np.uint16)


def numbered_answers(play: FixedPlay) -> Numbered:
    """The answers of a play, in the narrowest numbering that tells its boards apart.

    Raises NotApplicable where there are none, or where no numbering does.
    """
    codes, moves = stored_answers(play)
    if not len(codes):
        raise NotApplicable("the machine never has to move, so there is nothing to store")
    for place, numbering in enumerate(numberings(play.game)):
        numbers = numbering(codes)
        order = np.argsort(numbers)
        increasing = numbers[order]
        if (increasing[1:] != increasing[:-1]).all():
            places = places_of(play.game.fair, codes, moves)
            return Numbered(place, codes[order], increasing, moves[order].astype(np.uint64), places[order])
    raise NotApplicable("who holds which cell does not tell the boards of this game apart")


def stored_answers(play: FixedPlay) -> tuple[Codes, MoveIds]:
    """The boards that a table of this play stores, each once and sorted by code, and the move on each.

    PLAIN: every board as it is.  TURNED: the least images only, with the move as it is called there.
    """
    if play.reading != TURNED:
        return play.codes, play.moves
    keys, by = least_images(play.game.fair, play.codes)
    moves = _turned_each(play.game.fair, by, play.moves)
    keys, first = np.unique(keys, return_index=True)
    return keys, moves[first]


def stored_boards(game: Game, reading: str, codes: Codes) -> Codes:
    """The boards under which the answers for these boards are stored, each once and sorted."""
    return distinct(least_images(game, codes)[0] if reading == TURNED else codes)


def looked_up(game: Game, reading: str, codes: Codes, look_up: Callable[[Codes], MoveIds]) -> MoveIds:
    """The moves for some boards, when `look_up` finds those of stored boards (NO_MOVE where it finds none).

    TURNED: each board is turned to its least image first, and the move found turned back.
    """
    if reading != TURNED:
        return look_up(codes)
    keys, by = least_images(game, codes)
    back = np.array(inverse_symmetries(game), dtype=np.uint8)
    return _turned_each(game, back[by], look_up(keys))


def turning_words(reading: str) -> int:
    """The words of workspace in which a program finds the least image of its board.

    TURNED: the symmetry that is tried, the one that has given the least image so far, and the cell at which the two
    images are compared; the images themselves need not be kept.
    """
    return 3 if reading == TURNED else 0


def _turned_each(game: Game, by: Bytes, moves: MoveIds) -> MoveIds:
    """Each move turned by its own symmetry; NO_MOVE stays what it is."""
    turned = moves.copy()
    for symmetry in range(game.symmetries):
        these = (by == symmetry) & (moves != NO_MOVE)
        turned[these] = game.turned_move(symmetry, moves[these])
    return turned
