"""What every game gives: a few functions on arrays of codes, and words for people.

`Game` is the interface that the solver knows.  A family of games is one module beside this one that
obeys it; nothing outside `games/` knows how a family packs its board.
"""

from typing import Protocol

import numpy as np

from games.board import Board
from games.codes import Bytes, Codes, MoveIds, MoveList


class Game(Protocol):
    """A two-player game without chance or secrets, as functions on arrays.

    Callers ask for `moves` of unfinished positions only; every other function is total over the codes
    that moves from the start can reach.
    """

    name: str
    """How files and commands call the game, such as ``noughts-and-crosses``."""
    title: str
    origin: str
    """One line on where the game comes from."""
    bits: int
    """How many bits, from bit 0, the family's own part of a code takes; at most 63."""
    start: int
    symmetries: int
    """How many symmetries the game has; number 0 is the identity."""
    move_names: tuple[str, ...]
    """What people type, by move number.  The order is the game's own: *least* means first here."""
    refusals: tuple[str, ...]
    """Why a move that has a name may not be played, in the order in which the reasons are tried."""

    @property
    def board(self) -> Board:
        """The cells as people see them."""
        ...

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

    def holdings(self, codes: Codes) -> tuple[Codes, Codes]:
        """The cells that the first and the second player hold, as sets of bits (bit c: cell c)."""
        ...

    def code_of(self, first: int, second: int, mover: int) -> int:
        """The code of a board given as two sets of cells, with `mover` to play."""
        ...


class LineGame(Game, Protocol):
    """A game of placing marks in which lines of cells matter: what line rules can be asked of."""

    lines: tuple[int, ...]
    """Each line as a set of cells (bit c: cell c)."""


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
    images = [tuple(game.turned_move(symmetry, every_move).tolist()) for symmetry in range(game.symmetries)]
    identity = images[0]
    inverses = []
    for image in images:
        back = [0] * len(image)
        for move, target in enumerate(image):
            back[target] = move
        inverses.append(images.index(tuple(back)) if tuple(back) != identity else 0)
    return tuple(inverses)
