"""Boards as numbers, and the boards that a table stores: every one, or one of each that are alike by turning."""

from collections.abc import Callable

import numpy as np

from budget.packed import NO_MOVE, NotApplicable
from games.codes import SECOND, Bytes, Codes, MoveIds, distinct
from games.game import BoardGame, Game, inverse_symmetries, least_images, on_board
from games.housed import HousedGame
from solver.fixed import TURNED, FixedPlay

MOST_CELLS = 32
"""The number of such a board has 51 bits, which leaves room in 63 for a move beside it."""


def board_index(game: HousedGame, codes: Codes) -> Codes:
    """Each board as a number in base 3, (n,): digit c is 0 where cell c is free, 1 the machine's, 2 the visitor's.

    Cell 0 is the lowest digit.  Raises NotApplicable where that does not tell the boards apart.
    """
    cells = _board_game(game).board.size
    if cells > MOST_CELLS:
        raise NotApplicable(
            f"a board of {cells} cells makes numbers that are too wide; expected at most {MOST_CELLS}"
        )
    index = np.zeros(len(codes), dtype=np.uint64)
    for digit, held in enumerate(_by_role(game, codes), 1):
        for cell in range(cells):
            index += (held >> np.uint64(cell) & np.uint64(1)) * np.uint64(digit * 3**cell)
    return index


def _board_game(game: HousedGame) -> BoardGame:
    """The fair game as one on cells.  Raises NotApplicable where it is none."""
    on_cells = on_board(game.fair)
    if on_cells is None:
        raise NotApplicable("the game has no board of cells that can be held")
    return on_cells


def _by_role(game: HousedGame, codes: Codes) -> tuple[Codes, Codes]:
    """The cells that the machine and the visitor hold."""
    first, second = _board_game(game).holdings(codes)
    return (second, first) if game.seat == SECOND else (first, second)


def index_bits(game: HousedGame) -> int:
    """How many bits hold the number of any board of the game."""
    return int(3 ** _board_game(game).board.size - 1).bit_length()


def indexed_answers(play: FixedPlay) -> tuple[Codes, MoveIds]:
    """The boards to store as numbers, increasing, and the move on each.  Raises NotApplicable where they have none."""
    codes, moves = stored_answers(play)
    if not len(codes):
        raise NotApplicable("the machine never has to move, so there is nothing to store")
    index = board_index(play.game, codes)
    order = np.argsort(index)
    index, moves = index[order], moves[order]
    if (index[1:] == index[:-1]).any():
        raise NotApplicable("who holds which cell does not tell the boards of this game apart")
    return index, moves


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
