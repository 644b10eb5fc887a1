"""What a position is to the machine room: one unsigned 64-bit code.

Bit 63 says whose turn it is (set: the second player's), so that a lost turn is one flipped bit in every
family.  Each family packs its board into the bits from 0 upward as it likes and says how many it takes;
house rules put their counters above those.  All functions of a game work on arrays of codes, and one
position is an array of length one.
"""

from typing import NamedTuple, TypeVar

import numpy as np
import numpy.typing as npt

Codes = npt.NDArray[np.uint64]
"""Positions, shape (n,)."""
MoveIds = npt.NDArray[np.uint16]
"""Move numbers, shape (n,): places in the game's `move_names`."""
Indices = npt.NDArray[np.intp]
"""Places in another array, shape (n,)."""
Bytes = npt.NDArray[np.uint8]
"""Players, endings, values: small numbers, shape (n,)."""
Flags = npt.NDArray[np.bool_]

TURN_BIT = 63
TURN = np.uint64(1 << TURN_BIT)

FIRST, SECOND = 0, 1
PLAYERS = ("first", "second")
"""The players' names, by number."""

UNFINISHED, FIRST_WINS, SECOND_WINS, DRAW = 0, 1, 2, 3
RESULTS = ("unfinished", "first", "second", "draw")
"""The names of endings and values, by number."""


def win_of(player: int) -> int:
    """The result in which `player` (FIRST or SECOND) wins."""
    return FIRST_WINS if player == FIRST else SECOND_WINS


def player_named(name: str) -> int:
    """The number of the player called `first` or `second`."""
    return PLAYERS.index(name)


_Numbers = TypeVar("_Numbers", bound=np.generic)


def distinct(values: npt.NDArray[_Numbers]) -> npt.NDArray[_Numbers]:
    """The values, sorted, each once.

    As `numpy.unique`, which would load numpy's masked arrays first: a fifth of the start-up time that we have.
    The stable sort is the one that takes runs which are sorted already as they are, and moves come in such runs.
    """
    ordered = np.sort(values, kind="stable")
    first = np.ones(len(ordered), dtype=bool)
    first[1:] = ordered[1:] != ordered[:-1]
    return ordered[first]


class MoveList(NamedTuple):
    """Every legal move of some positions, each once, in any order.

    (The order that a family finds easiest is the fastest; who needs another sorts.)

    parent: Indices, places in the array of codes that was asked about;
    move: MoveIds; child: Codes.  All three have the same length.
    """

    parent: Indices
    move: MoveIds
    child: Codes


def turn_of(codes: Codes) -> Bytes:
    """Whose turn the turn bit names: 0 for the first player, 1 for the second."""
    return (codes >> np.uint64(TURN_BIT)).astype(np.uint8)


def by_parent(moves: MoveList) -> MoveList:
    """The moves sorted by parent, and those of one parent by move."""
    order = np.lexsort((moves.move, moves.parent))
    return MoveList(moves.parent[order], moves.move[order], moves.child[order])
