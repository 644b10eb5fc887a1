"""What an encoding makes of a play: words, and what else can be said of them."""

from typing import NamedTuple

import numpy as np

from budget.packing import Words
from games.codes import MoveIds

LARGEST_TABLE = 1 << 20
"""Words.  As many as the largest store; a larger table would fit nowhere and is not built."""
NO_MOVE = 0xFFFF
"""Stands for the answer where a decoder finds none; no game has that many moves."""


class Packed(NamedTuple):
    """A play packed into words of `word_bits` bits.

    bits: those that mean something, before rounding up to whole words; answers: the boards whose move is stored;
    workspace_words: what a program that reads this table needs besides the board; notes: sentences for people.
    """

    encoding: str
    reading: str
    word_bits: int
    words: Words
    bits: int
    answers: int
    workspace_words: int
    notes: tuple[str, ...]


class NotApplicable(Exception):
    """An encoding cannot hold a play; the message is the reason, in words."""


def refuse_if_too_large(words: int) -> None:
    """Raise NotApplicable for a table that no store could hold."""
    if words > LARGEST_TABLE:
        raise NotApplicable(
            f"it would take {words:,} words, more than the {LARGEST_TABLE:,} of the largest store"
        )


def no_moves(count: int) -> MoveIds:
    """The answer of a decoder that cannot make sense of its words: no move for any of `count` boards."""
    return np.full(count, NO_MOVE, dtype=np.uint16)
