"""The order in which boards stand on paper, so that people find one: few men first, then as in a dictionary."""

import re
from collections.abc import Callable, Iterable
from typing import NamedTuple

import numpy as np

from games.board import ROW_END
from games.game import Game, on_board
from games.housed import HousedGame

Key = tuple[tuple[int, int, str], ...]
"""What boards are sorted by: numbers by their size, and signs one by one."""


class Written(NamedTuple):
    """A board as it is written: its rows, and what belongs to the position besides (``ply 3``), if anything."""

    rows: tuple[str, ...]
    tail: str

    @property
    def text(self) -> str:
        """All of it in a line."""
        return " ".join(filter(None, [ROW_END.join(self.rows), self.tail]))


class Order(NamedTuple):
    """An order of a game's boards; rule: how to look one up, in sentences for people."""

    rule: str
    written: Callable[[int], Written]
    key: Callable[[int], Key]

    def sorted(self, codes: Iterable[int]) -> list[int]:
        """These boards in order."""
        return sorted(codes, key=self.key)


def order_of(game: HousedGame, codes: Iterable[int]) -> Order:
    """The order of some boards of a game, which are codes of the fair game.

    Where cells are held, boards with fewer men come first; among these the first cell that differs decides.  Else
    the first sign or number that differs does.
    """

    def written(code: int) -> Written:
        [text] = game.fair.texts(np.array([code], dtype=np.uint64), game.seat)
        board, _, tail = text.partition(" ")
        return Written(tuple(board.split(ROW_END)), tail)

    def key(code: int) -> Key:
        return _key_of(written(code).text)

    held = held_on(game.fair)
    if held is None:
        return Order(_rule_of_signs(written(code).rows for code in codes), written, key)
    return Order(RULE_OF_MEN, written, lambda code: ((0, held(code), ""), *key(code)))


RULE_OF_MEN = (
    "The boards are in order of how many men stand on them. Among boards with as many, read row by row: at the first "
    "cell that differs, the machine's man comes before the visitor's, and that before a free cell."
)


def held_on(game: Game) -> Callable[[int], int] | None:
    """How many men stand on a board, told from its code; None where the game's cells are not held."""
    board_game = on_board(game)
    if board_game is None:
        return None

    def held(code: int) -> int:
        first, second = board_game.holdings(np.array([code], dtype=np.uint64))
        return (int(first[0]) | int(second[0])).bit_count()

    return held


def _rule_of_signs(boards: Iterable[tuple[str, ...]]) -> str:
    signs = sorted({sign for rows in boards for row in rows for sign in row})
    if all(sign.isdigit() or sign == "-" for sign in signs):
        return "The boards are in order of the first number that differs, as they are written: the smaller one first."
    named = ", then ".join(f"'{sign}'" for sign in signs)
    return f"The boards are in the order in which they are written: at the first sign that differs, {named}."


def _key_of(text: str) -> Key:
    """A text as what it is sorted by.

    >>> _key_of("3-12") < _key_of("10-2")
    True
    """
    return tuple(
        (1, int(part), "") if part.isdigit() else (2, 0, part) for part in re.findall(r"\d+|\D", text)
    )
