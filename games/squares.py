"""Lines and symmetries of a rectangle of cells."""

from collections.abc import Callable

from games.board import Board

_DIRECTIONS = ((1, 0), (0, 1), (1, 1), (-1, 1))


def lines_in_a_row(board: Board, length: int) -> list[tuple[int, ...]]:
    """Every straight line of `length` cells: along rows, columns and both diagonals, by their first cell.

    No line goes through a hole.
    """
    lines = []
    for cell in range(board.size):
        column, row = board.where(cell)
        for right, down in _DIRECTIONS:
            walked = [(column + right * step, row + down * step) for step in range(length)]
            if all(board.has(*place) for place in walked):
                lines.append(tuple(board.cell(*place) for place in walked))
    return lines


_Turn = Callable[[int, int, int, int], tuple[int, int]]
_TURNS: tuple[_Turn, ...] = (
    lambda column, row, last_column, last_row: (column, row),
    lambda column, row, last_column, last_row: (last_row - row, column),  # a quarter turn clockwise
    lambda column, row, last_column, last_row: (last_column - column, last_row - row),  # a half turn
    lambda column, row, last_column, last_row: (row, last_column - column),  # a quarter turn back
    lambda column, row, last_column, last_row: (last_column - column, row),  # left and right exchanged
    lambda column, row, last_column, last_row: (column, last_row - row),  # top and bottom exchanged
    lambda column, row, last_column, last_row: (row, column),  # mirrored in the falling diagonal
    lambda column, row, last_column, last_row: (last_row - row, last_column - column),  # in the rising one
)
_UPRIGHT = (0, 2, 4, 5)
"""The turns that keep columns columns: all that a rectangle which is no square has."""


def symmetries_of(board: Board, lines: tuple[int, ...]) -> list[tuple[int, ...]]:
    """The turns of the rectangle that carry cells to cells and lines to lines, identity first: where each cell goes."""
    whole = set(lines)
    turns = range(len(_TURNS)) if board.columns == board.rows else _UPRIGHT
    kept: list[tuple[int, ...]] = []
    for turn in turns:
        images = _images(board, _TURNS[turn])
        if images is not None and images not in kept and {image_of(images, line) for line in lines} == whole:
            kept.append(images)
    return kept


def _images(board: Board, turn: _Turn) -> tuple[int, ...] | None:
    """Where each cell goes in a turn of the rectangle; None if one of them goes into a hole."""
    last_column, last_row = board.columns - 1, board.rows - 1
    places = [turn(*board.where(cell), last_column, last_row) for cell in range(board.size)]
    return (
        tuple(board.cell(*place) for place in places) if all(board.has(*place) for place in places) else None
    )


def image_of(images: tuple[int, ...], cells: int) -> int:
    """Where a set of cells goes if each of them goes where `images` says."""
    return sum(1 << image for cell, image in enumerate(images) if cells >> cell & 1)
