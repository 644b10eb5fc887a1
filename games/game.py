"""What every game gives: a few functions on arrays of codes, and words for people.

`Game` is the interface that the solver knows.  A family of games is one module beside this one that
obeys it; nothing outside `games/` knows how a family packs its board.
"""

from typing import Protocol, cast

import numpy as np
import numpy.typing as npt

from games.board import Board
from games.codes import Bytes, Codes, Indices, MoveIds, MoveList

Gains = npt.NDArray[np.int8]
"""What moves of a score game bring at once, the first player's minus the second's, shape (n,)."""


class Game(Protocol):
    """A two-player game without chance or secrets, as functions on arrays.

    Callers ask for `moves` of unfinished positions only; every other function is total over the codes
    that moves from the start can reach.
    """

    name: str
    """How files and commands call the game, such as ``noughts-and-crosses``."""
    title: str
    size: str
    """How large it is, in a word or two: ``3 x 3``."""
    origin: str
    """One line on where the game comes from."""
    bits: int
    """How many bits, from bit 0, the family's own part of a code takes; at most 63."""
    start: int
    other_start: int | None
    """The start with the second player to move, where it matters who begins; else None."""
    symmetries: int
    """How many symmetries the game has; number 0 is the identity."""
    move_names: tuple[str, ...]
    """What people type, by move number.  The order is the game's own: *least* means first here."""
    can_repeat: bool
    """Whether a position can come back, so that play could be endless."""
    refusals: tuple[str, ...]
    """Why a move that has a name may not be played, in the order in which the reasons are tried."""

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        ...

    def moves(self, codes: Codes) -> MoveList:
        """Every legal move of these unfinished positions."""
        ...

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is: FIRST or SECOND."""
        ...

    def ending(self, codes: Codes) -> Bytes:
        """UNFINISHED, FIRST_WINS, SECOND_WINS or DRAW."""
        ...

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The same positions seen through a symmetry."""
        ...

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """The moves as they are called after `turned` with the same symmetry."""
        ...

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """For pairs of a position and a move: 0 if it is legal, else 1 + the place in `refusals`."""
        ...

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The positions as people read and type them, a short line each, with the machine in `seat`."""
        ...

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of a position as `texts` writes it, with `mover` to play.

        Raises ValueError, with the reason in words, if the text is no position.
        """
        ...

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """A position as a small picture of plain text, row by row.

        last: the move just made, which is pointed out; named: with the names of what can be played.
        """
        ...


class BoardGame(Game, Protocol):
    """A game on cells that each player can hold."""

    @property
    def board(self) -> Board:
        """The cells as people see them."""
        ...

    def holdings(self, codes: Codes) -> tuple[Codes, Codes]:
        """The cells that the first and the second player hold, as sets of bits (bit c: cell c)."""
        ...

    def code_of(self, first: int, second: int, mover: int) -> int:
        """The code of a board given as two sets of cells, with `mover` to play."""
        ...


class LineGame(BoardGame, Protocol):
    """A game in which each move puts one mark on a cell and lines of cells matter: what a sheet's rules ask of."""

    lines: tuple[int, ...]
    """Each line as a set of cells (bit c: cell c)."""
    cell_images: tuple[tuple[int, ...], ...]
    """For each symmetry where each cell goes."""

    def moves_onto(self, codes: Codes, cells: Codes) -> tuple[Indices, MoveIds]:
        """The legal moves that put a mark on one of these cells: places in `codes` and moves, sorted by both.

        cells: for each position a set of cells, (n,).
        """
        ...


class ScoreGame(Game, Protocol):
    """A game in which moves score: its value is the difference still to come, first minus second.

    An ending is DRAW: nothing more is to come.  What was gained before is no part of a position.
    """

    def gains(self, codes: Codes, moves: MoveIds) -> Gains:
        """For pairs of a position and a legal move: what the move brings at once."""
        ...


class CountingGame(Game, Protocol):
    """A game in which how many plies have been made is part of the position."""

    def one_ply_on(self, codes: Codes) -> Codes:
        """The same positions, with the same player to move, after one more ply."""
        ...


def on_board(game: Game) -> BoardGame | None:
    """The game as one on cells that can be held, or None if it is not."""
    return cast(BoardGame, game) if hasattr(game, "holdings") else None


def with_lines(game: Game) -> LineGame | None:
    """The game as one of marks and lines, or None if it is not."""
    return cast(LineGame, game) if hasattr(game, "lines") else None


def scored(game: Game) -> ScoreGame | None:
    """The game as one in which moves score, or None if it is not."""
    return cast(ScoreGame, game) if hasattr(game, "gains") else None


def counting_plies(game: Game) -> CountingGame | None:
    """The game as one that counts plies, or None if it does not."""
    return cast(CountingGame, game) if hasattr(game, "one_ply_on") else None


def least_images(game: Game, codes: Codes) -> tuple[Codes, Bytes]:
    """The least code among each position's images, and the first symmetry in the game's order that gives it."""
    least = codes.copy()
    by = np.zeros(len(codes), dtype=np.uint8)
    for symmetry in range(1, game.symmetries):
        image = game.turned(symmetry, codes)
        smaller = image < least
        least[smaller] = image[smaller]
        by[smaller] = symmetry
    return least, by


def inverse_symmetries(game: Game) -> tuple[int, ...]:
    """For each symmetry the one that undoes it, told by what it does to the moves."""
    every_move = np.arange(len(game.move_names), dtype=np.uint16)
    images = [game.turned_move(symmetry, every_move).tolist() for symmetry in range(game.symmetries)]
    return tuple(images.index(np.argsort(image).tolist()) for image in images)
