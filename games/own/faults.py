"""What is wrong with a game, told for a position: first of all with the moves that it gives."""

from typing import NamedTuple

import numpy as np

from games.codes import FIRST, PLAYERS, TURN, TURN_BIT, Codes, MoveList
from games.game import Game

NO_MOVES = "a position without moves that is not over; expected a move, or an ending"


class Fault(NamedTuple):
    """A function of a game that does not do what it should: in which position (None: in any), and what was expected."""

    function: str
    message: str
    code: int | None = None


def told(game: Game, fault: Fault) -> str:
    """A fault in one line: the function, the position, what was expected."""
    where = "" if fault.code is None else f" in {shown(game, fault.code)}"
    return f"{fault.function}{where}: {fault.message}"


def shown(game: Game, code: int) -> str:
    """A position as the first player reads it, and its code, with whose turn it is."""
    codes = np.array([code], dtype=np.uint64)
    turn = PLAYERS[code >> TURN_BIT]
    try:
        [text] = game.texts(codes, FIRST)
    except Exception:  # noqa: BLE001 - a faulty game is being told of, and its code says enough
        return f"{code:#x} ({turn} to move)"
    return f"{text} ({code:#x}, {turn} to move)"


def fault_of_moves(game: Game, codes: Codes, moves: MoveList) -> Fault | None:
    """The first thing that is wrong with the moves of unfinished positions; their types and shapes are right.

    What is not looked at is whether a move is given twice.
    """
    parent, move, child = moves
    lost = np.flatnonzero((parent < 0) | (parent >= len(codes)))
    if len(lost):
        places = f"a place from 0 to {len(codes) - 1} in the array of codes"
        return Fault("moves", f"gives {int(parent[lost[0]])} as a parent; expected {places}")
    nameless = np.flatnonzero(move >= len(game.move_names))
    if len(nameless):
        names = len(game.move_names)
        message = (
            f"gives move {int(move[nameless[0]])}; expected 0 to {names - 1}, since there are {names} names"
        )
        return Fault("moves", message, int(codes[parent[nameless[0]]]))
    outside = np.flatnonzero(child & ~bits_of(game))
    if len(outside):
        at = outside[0]
        message = (
            f"{game.move_names[move[at]]} leads to {int(child[at]):#x}; "
            f"expected a code in bits 0 to {game.bits - 1}, and {TURN_BIT} for the turn"
        )
        return Fault("moves", message, int(codes[parent[at]]))
    has_move = np.zeros(len(codes), dtype=bool)
    has_move[parent] = True
    if not has_move.all():
        return Fault("moves", NO_MOVES, int(codes[~has_move][0]))
    return None


def bits_of(game: Game) -> np.uint64:
    """The bits of a code that a game may use, the turn's among them."""
    return np.uint64((1 << game.bits) - 1) | TURN
