"""*Take the heaviest cell*: each free cell weighs what its place and the lines through it weigh.

A line weighs by how many marks of each side it holds before the move.  All weights that fit are added up.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from games.board import Board
from games.codes import Codes
from games.game import LineGame
from solver.meanings import CellWeight, Heaviest, Weight
from solver.sheet.rules import Marked
from solver.strategy import Allowed, View

Heft = npt.NDArray[np.int64]
"""(n, cells): what each cell weighs in each position, free or not."""
_ONE = np.uint64(1)


class HeaviestRule:
    """A rule that allows the heaviest of the cells that can be marked, all of them where several weigh the same."""

    __slots__ = ("_game", "line", "meaning", "text")
    stores_answers = False

    def __init__(self, game: LineGame, text: str, line: int, meaning: Heaviest) -> None:
        self.text = text
        self.line = line
        self.meaning = meaning
        self._game = game

    def allowed(self, view: View) -> Allowed:
        """The moves that mark a cell than which none is heavier."""
        heft = heft_of_cells(
            self._game.board.size, self.meaning.weights, Marked.of(self._game, view.codes, view.seat)
        )
        places, moves, weights = [], [], []
        for cell in range(self._game.board.size):
            onto = np.full(len(view), 1 << cell, dtype=np.uint64)
            place, move = self._game.moves_onto(view.codes, onto)
            places.append(place)
            moves.append(move)
            weights.append(heft[place, cell])
        place, move, weight = np.concatenate(places), np.concatenate(moves), np.concatenate(weights)
        heaviest = np.full(len(view), np.iinfo(np.int64).min)
        np.maximum.at(heaviest, place, weight)
        kept = np.flatnonzero(weight == heaviest[place])
        order = kept[np.lexsort((move[kept], place[kept]))]
        return Allowed(place[order], move[order])


def heft_of_cells(size: int, weights: Sequence[Weight], view: Marked) -> Heft:
    """What each of `size` cells weighs in each position: the sum of all weights that fit."""
    heft = np.zeros((len(view), size), dtype=np.int64)
    for each in weights:
        if isinstance(each, CellWeight):
            heft[:, cells_in(each.cells)] += each.weight
        else:
            for line in each.lines:
                fits = _count(view.mine, line) == each.mine
                fits &= _count(view.visitors, line) == each.visitors
                heft[np.ix_(fits, cells_in(line))] += each.weight
    return heft


def _count(marks: Codes, line: int) -> npt.NDArray[np.uint8]:
    counts: npt.NDArray[np.uint8] = np.bitwise_count(marks & np.uint64(line))
    return counts


def cells_in(cells: int) -> list[int]:
    """The cells of a set, in order."""
    return [cell for cell in range(cells.bit_length()) if cells >> cell & 1]


def straight_lines(game: LineGame) -> tuple[int, ...]:
    """The lines whose cells all lie in one row or in one column."""
    return tuple(line for line in game.lines if _is_straight(game.board, line))


def diagonal_lines(game: LineGame) -> tuple[int, ...]:
    """The other lines whose cells all lie on one diagonal of squares, however far apart."""
    return tuple(
        line
        for line in game.lines
        if not _is_straight(game.board, line) and _lie_alike(game.board, line, (1, 1), (1, -1))
    )


def _is_straight(board: Board, line: int) -> bool:
    return _lie_alike(board, line, (1, 0), (0, 1))


def _lie_alike(board: Board, line: int, *directions: tuple[int, int]) -> bool:
    """Whether, seen in one of the directions, all cells of a line lie at the same place."""
    places = [board.where(cell) for cell in cells_in(line)]
    return any(len({x * right + y * down for x, y in places}) == 1 for right, down in directions)


def cells_like(game: LineGame, cell: int) -> int:
    """The cells to which the game's symmetries take a cell, as a set."""
    return sum(1 << image for image in {images[cell] for images in game.cell_images})


def lines_like(game: LineGame, line: int) -> tuple[int, ...]:
    """The lines to which the game's symmetries take a line, itself among them, in the game's order."""
    cells = cells_in(line)
    turned = {sum(1 << images[cell] for cell in cells) for images in game.cell_images}
    return tuple(each for each in game.lines if each in turned)
