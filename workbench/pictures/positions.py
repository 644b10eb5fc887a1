"""Positions as small pictures: on squares, on joined points, or as the lines of text that the game itself draws.

The first player's men are hollow and the second's solid, so that they are told apart in print without colour.  What
was done last has a ring.
"""

import re
from collections.abc import Callable, Sequence
from typing import Protocol

import numpy as np

from games.board import FREE, MINE, VISITORS, Board
from games.codes import FIRST, PLAYERS, Codes
from games.fill.hex import Hex
from games.game import BoardGame, Game, on_board
from games.housed import HousedGame
from games.limited import LimitedGame
from games.marks.gravity import Gravity
from games.repetition import without_repetition_limit
from games.steps.steps import Steps
from workbench.pictures.drawings import SIGN_HIGH, TextPictures
from workbench.pictures.inks import FAINT, INK, PAPER, QUIET
from workbench.svg import Point, disc_path, element, line_path, words

__all__ = [
    "FAINT",
    "INK",
    "PAPER",
    "QUIET",
    "SIGN_HIGH",
    "BoardPictures",
    "Pictures",
    "TextPictures",
    "pictures_of",
    "pointed_out",
    "without_counts",
]

MOST_WIDE = 62
"""How wide a board may be, and how high; large boards get small squares."""
LARGEST, LEAST = 14, 6
"""The side of a square."""
MAN, RING = 0.34, 0.49
"""Radii, in sides of a square."""


class Pictures(Protocol):
    """How the positions of one game are drawn."""

    wide: float
    high: float

    def draw(self, code: int, last: int | None = None) -> str:
        """A position as SVG, in a box of this size with its corner at 0, 0.

        last: the move just made, which gets a ring.
        """
        ...


def pictures_of(game: Game, codes: Sequence[int], seat: int, *, named: bool = False) -> Pictures:
    """How these positions of a game are drawn; `named`: with the names of what can be played."""
    bare, strip = without_counts(game)
    board_game = on_board(bare)
    if board_game is None:
        return TextPictures(bare, strip, codes, seat, named=named)
    joined = bare.setting.steps if isinstance(bare, Steps) else None
    slant = 0.5 if isinstance(bare, Hex) else 0.0
    return BoardPictures(board_game, strip, joined, slant=slant, named=named)


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

    slant: by how much of a square each row is shifted to the right of the one above; named: with the name of every
    free cell.
    """

    def __init__(
        self,
        game: BoardGame,
        strip: Callable[[Codes], Codes],
        joined: Sequence[tuple[int, int]] | None,
        *,
        slant: float,
        named: bool,
    ) -> None:
        self._game = game
        self._strip = strip
        self._slant = slant
        self._named = named
        self._on_squares = joined is None
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

    def draw(self, code: int, last: int | None = None) -> str:
        """The board and the men on it: hollow ones the first player's, solid ones the second's."""
        bare = self._strip(np.array([code], dtype=np.uint64))
        first, second = self._game.holdings(bare)
        drawn = [self._empty]
        for held, fill in ((int(first[0]), PAPER), (int(second[0]), INK)):
            men = [
                disc_path(x, y, self._side * MAN) for c, (x, y) in enumerate(self._middles) if held >> c & 1
            ]
            if men:
                drawn.append(element("path", d="".join(men), fill=fill, stroke=INK, stroke_width=1.6))
        if last is not None:
            drawn += [self._ring(cell) for cell in pointed_out(self._game, int(bare[0]), last)]
        if self._named:
            held = int(first[0]) | int(second[0])
            drawn += [self._name(cell, name, held) for cell, name in self._names(held)]
        return "".join(drawn)

    def layers(self) -> str:
        """The empty board, and on every cell all that may stand there, to be shown or hidden by a page's script.

        Each cell is a group that says in `data-cell` which, and in `data-types` what is typed to play there.  In it
        are men of the classes `first` and `second`, a `ring`, and its `name`: also `always`, where people need it
        beside a man.
        """
        is_moved = self._moves_are_no_cells()
        cells = []
        for cell, (x, y) in enumerate(self._middles):
            man = disc_path(x, y, self._side * MAN)
            parts = [
                element("path", d=man, fill=fill, stroke=INK, stroke_width=1.6, class_=player)
                for player, fill in zip(PLAYERS, (PAPER, INK), strict=True)
            ]
            ring = self._ring(cell)
            kind = "name always" if is_moved else "name"
            shown = self._game.board.names[cell] if is_moved else self._typed(cell)
            name = self._name(cell, shown, held=1 << cell if is_moved else 0)
            parts += [self._touched(x, y), element("g", ring, class_="ring"), element("g", name, class_=kind)]
            cells.append(
                element("g", parts, data_cell=cell, data_types=None if is_moved else self._typed(cell))
            )
        return self._empty + "".join(cells)

    def _touched(self, x: float, y: float) -> str:
        """A square that is not seen and can be pointed at."""
        half = self._side / 2
        return element(
            "rect",
            None,
            x=x - half,
            y=y - half,
            width=self._side,
            height=self._side,
            fill="none",
            pointer_events="all",
        )

    def _typed(self, cell: int) -> str:
        """What is typed to play on a cell: its name, or where marks fall that of its column."""
        board = self._game.board
        return (
            self._game.move_names[board.where(cell)[0]]
            if isinstance(self._game, Gravity)
            else board.names[cell]
        )

    def _moves_are_no_cells(self) -> bool:
        """Whether men are moved, so that people need the names of held cells too; where marks fall they do not."""
        return not isinstance(self._game, Gravity) and bool(
            set(self._game.move_names) - set(self._game.board.names)
        )

    def _ring(self, cell: int) -> str:
        x, y = self._middles[cell]
        return element("circle", cx=x, cy=y, r=self._side * RING, fill="none", stroke=INK, stroke_width=0.9)

    def _names(self, held: int) -> list[tuple[int, str]]:
        """The names that people need to type a move, each in or beside a cell.

        Those of free cells; where men are moved of all cells; where marks fall, a column's in the cell that they
        fall to.
        """
        board, moves = self._game.board, self._game.move_names
        free = [cell for cell in range(board.size) if not held >> cell & 1]
        if isinstance(self._game, Gravity):
            landing = {board.where(cell)[0]: cell for cell in free}  # the last one of a column lies lowest
            return [(cell, moves[column]) for column, cell in landing.items()]
        named = range(board.size) if self._moves_are_no_cells() else free
        return [(cell, board.names[cell]) for cell in named]

    def _name(self, cell: int, name: str, held: int) -> str:
        """A name in the middle of a free square; beside a man, and beside a point."""
        x, y = self._middles[cell]
        if self._on_squares and not held >> cell & 1:
            place = {"x": x, "y": y + self._side * 0.13, "font_size": round(self._side * 0.36, 1)}
        else:
            across, up, size = (-0.42, -0.34, 0.2) if self._on_squares else (0.44, -0.27, 0.27)
            side = self._side
            place = {"x": x + side * across, "y": y + side * up, "font_size": round(side * size, 1)}
        return words("text", name, **place, text_anchor="middle", fill=QUIET)


def pointed_out(game: BoardGame, code: int, last: int) -> list[int]:
    """The cells that a game puts in brackets when it draws a position after this move.

    Asked of the drawing, since only the game itself knows where its moves lead; the cell left where a man goes off.
    """
    signs = [sign for row in game.drawing(code, FIRST, last) for sign in SIGN.findall(row)]
    return [cell for cell, sign in enumerate(signs) if sign.startswith("(")]


SIGN = re.compile(rf"\(?[{MINE}{VISITORS}{FREE}]\)?")
"""A cell in a drawing, with the brackets of the one that a move led to."""
