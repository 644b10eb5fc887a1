"""Positions as small pictures: on squares, on joined points, or as the lines of text that the game itself draws.

The first player's men are hollow and the second's solid, so that they are told apart in print without colour.
"""

from collections.abc import Callable, Sequence
from typing import Protocol

import numpy as np

from games.board import Board
from games.codes import Codes
from games.fill.hex import Hex
from games.game import BoardGame, Game, on_board
from games.housed import HousedGame
from games.limited import LimitedGame
from games.repetition import without_repetition_limit
from games.steps.steps import Steps
from workbench.svg import Point, disc_path, element, line_path, words

MOST_WIDE = 62
"""How wide a board may be, and how high; large boards get small squares."""
LARGEST, LEAST = 14, 6
"""The side of a square."""
SIGN_WIDE, SIGN_HIGH = 4.9, 9.5
"""The room for a character of text, at a size of 8."""
KEPT_SPACE = "\u00a0"
"""Other spaces are run together in a picture."""
INK, FAINT, PAPER = "#1d2730", "#9aa5ad", "#ffffff"


class Pictures(Protocol):
    """How the positions of one game are drawn."""

    wide: float
    high: float

    def draw(self, code: int) -> str:
        """A position as SVG, in a box of this size with its corner at 0, 0."""
        ...


def pictures_of(game: Game, codes: Sequence[int], seat: int) -> Pictures:
    """How these positions of a game are drawn."""
    bare, strip = without_counts(game)
    board_game = on_board(bare)
    if board_game is None:
        return TextPictures(bare, strip, codes, seat)
    joined = bare.setting.steps if isinstance(bare, Steps) else None
    return BoardPictures(board_game, strip, joined, slant=0.5 if isinstance(bare, Hex) else 0.0)


def without_counts(game: Game) -> tuple[Game, Callable[[Codes], Codes]]:
    """The game without house rules and limits, which are not drawn, and how its codes come out of the game's own."""
    if isinstance(game, HousedGame):
        bare, strip = without_counts(game.fair)
        return bare, lambda codes: strip(game.fair_codes(codes))
    if isinstance(game, LimitedGame):
        bare, strip = without_counts(game.unlimited)
        return bare, lambda codes: strip(game.without_plies(codes))
    return without_repetition_limit(game), lambda codes: codes


class BoardPictures:
    """Positions on squares, or on points with the steps between them (`joined`).

    slant: by how much of a square each row is shifted to the right of the one above.
    """

    def __init__(
        self,
        game: BoardGame,
        strip: Callable[[Codes], Codes],
        joined: Sequence[tuple[int, int]] | None,
        slant: float = 0.0,
    ) -> None:
        self._game = game
        self._strip = strip
        self._slant = slant
        board = game.board
        across = board.columns + slant * (board.rows - 1)
        self._side = max(LEAST, min(LARGEST, MOST_WIDE / across, MOST_WIDE / board.rows))
        self.wide = across * self._side
        self.high = board.rows * self._side
        self._middles = [self._middle(board, cell) for cell in range(board.size)]
        self._empty = self._squares() if joined is None else self._points(joined)

    def _middle(self, board: Board, cell: int) -> Point:
        column, row = board.where(cell)
        return (column + 0.5 + self._slant * row) * self._side, (row + 0.5) * self._side

    def _squares(self) -> str:
        half = self._side / 2
        corners = [(-half, -half), (half, -half), (half, half), (-half, half)]
        squares = [line_path([(x + dx, y + dy) for dx, dy in corners], closed=True) for x, y in self._middles]
        return element("path", d="".join(squares), fill=PAPER, stroke=FAINT, stroke_width=0.8)

    def _points(self, joined: Sequence[tuple[int, int]]) -> str:
        """The steps as lines, but for those that would run over other points; and a dot on every point."""
        steps = [line_path([self._middles[one], self._middles[other]]) for one, other in self._clear(joined)]
        dots = [disc_path(x, y, self._side / 9) for x, y in self._middles]
        lines = element("path", d="".join(steps), fill="none", stroke=FAINT, stroke_width=1)
        return (lines if steps else "") + element("path", d="".join(dots), fill=FAINT)

    def _clear(self, joined: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
        size = self._game.board.size
        if 2 * len(joined) == size * (size - 1):
            return []  # who may go anywhere needs no lines
        return [step for step in joined if not any(self._lies_between(at, *step) for at in range(size))]

    def _lies_between(self, point: int, one: int, other: int) -> bool:
        (x, y), (x1, y1), (x2, y2) = self._middles[point], self._middles[one], self._middles[other]
        aside = (x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)
        along = (x - x1) * (x - x2) + (y - y1) * (y - y2)
        return point not in (one, other) and abs(aside) < 1 and along < 0

    def draw(self, code: int) -> str:
        """The board and the men on it: hollow ones the first player's, solid ones the second's."""
        first, second = self._game.holdings(self._strip(np.array([code], dtype=np.uint64)))
        drawn = [self._empty]
        for held, fill in ((int(first[0]), PAPER), (int(second[0]), INK)):
            men = [
                disc_path(x, y, self._side * 0.34) for c, (x, y) in enumerate(self._middles) if held >> c & 1
            ]
            if men:
                drawn.append(element("path", d="".join(men), fill=fill, stroke=INK, stroke_width=1.6))
        return "".join(drawn)


class TextPictures:
    """Positions as the game draws them in plain text."""

    def __init__(self, game: Game, strip: Callable[[Codes], Codes], codes: Sequence[int], seat: int) -> None:
        bare = strip(np.array(codes, dtype=np.uint64)).tolist()
        self._lines = {code: game.drawing(inner, seat) for code, inner in zip(codes, bare, strict=True)}
        self.wide = SIGN_WIDE * max(len(line) for lines in self._lines.values() for line in lines)
        self.high = SIGN_HIGH * max(map(len, self._lines.values()))

    def draw(self, code: int) -> str:
        """One line of text below the other, each character in its column."""
        lines = self._lines[code]
        top = (self.high - SIGN_HIGH * len(lines)) / 2
        drawn = [
            words(
                "text",
                line.rstrip().replace(" ", KEPT_SPACE),
                x=0,
                y=top + SIGN_HIGH * (row + 0.8),
                class_="signs",
            )
            for row, line in enumerate(lines)
            if line.strip()
        ]
        return "".join(drawn)
