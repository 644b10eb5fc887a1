"""The answers of a strategy as cards: on each a board and the machine's move, in an order in which they are found."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from games.codes import Codes, distinct
from games.game import least_images
from games.housed import HousedGame
from solver.fixed import FixedPlay
from workbench.papers.order import Order, order_of


class Answer(NamedTuple):
    """A board, as a code of the fair game with the machine to move, and the move on it by its number."""

    code: int
    move: int


class Pack(NamedTuple):
    """All answers of a strategy in order; is_turned: whether an answer stands for all boards that are alike."""

    answers: tuple[Answer, ...]
    order: Order
    is_turned: bool


def pack_of(play: FixedPlay, *, is_turned: bool) -> Pack:
    """The answers of a play, each board once, or one of those that are alike: the one that comes first in order."""
    game = play.game
    moves = dict(zip(play.codes.tolist(), play.moves.tolist(), strict=True))
    codes: Codes = distinct(least_images(game.fair, play.codes)[0]) if is_turned else play.codes
    order = order_of(game, play.codes.tolist())
    if is_turned:
        answers = [_first_image(order, game, code, moves) for code in codes.tolist()]
    else:
        answers = [Answer(code, moves[code]) for code in codes.tolist()]
    return Pack(tuple(sorted(answers, key=lambda answer: order.key(answer.code))), order, is_turned)


def _first_image(order: Order, game: HousedGame, least: int, moves: dict[int, int]) -> Answer:
    """Of a board's images the first in order, with the move of one that is met turned along with it.

    A play that is settled *turned* plays alike on boards that are alike, so it does not matter which is taken.
    """
    images = list(_images(game, least))
    met = next(code for code, _ in images if code in moves)
    turned = dict(_images(game, met, moves[met]))
    first = min((code for code, _ in images), key=order.key)
    return Answer(first, turned[first])


def _images(game: HousedGame, code: int, move: int = 0) -> Iterator[tuple[int, int]]:
    """A board with a move on it, seen through every symmetry."""
    codes, moves = np.array([code], dtype=np.uint64), np.array([move], dtype=np.uint16)
    for symmetry in range(game.symmetries):
        image = game.fair.turned(symmetry, codes), game.fair.turned_move(symmetry, moves)
        yield int(image[0][0]), int(image[1][0])
