"""Lines and symmetries of a rectangle of cells."""

from collections.abc import Callable

from games.board import Board

_DIRECTIONS = ((1, 0), (0, 1), (1, 1), (-1, 1))


def lines_in_a_row(board: Board, length: int) -> list[tuple[int, ...]]:
    """Every straight line of `length` cells: along rows, columns and both diagonals, by their first cell."""
    lines = []
    for row in range(board.rows):
        for column in range(board.columns):
            for right, down in _DIRECTIONS:
                end_column, end_row = column + right * (length - 1), row + down * (length - 1)
                if 0 <= end_column < board.columns and end_row < board.rows:
                    lines.append(tuple(board.cell(column + right * i, row + down * i) for i in range(length)))
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
    """The turns of the rectangle that carry lines to lines, identity first: where each cell goes."""
    whole = set(lines)
    turns = range(len(_TURNS)) if board.columns == board.rows else _UPRIGHT
    kept: list[tuple[int, ...]] = []
    for turn in turns:
        images = tuple(
            board.cell(*_TURNS[turn](column, row, board.columns - 1, board.rows - 1))
            for row in range(board.rows)
            for column in range(board.columns)
        )
        if images not in kept and {_image(images, line) for line in lines} == whole:
            kept.append(images)
    return kept


def _image(images: tuple[int, ...], cells: int) -> int:
    return sum(1 << image for cell, image in enumerate(images) if cells >> cell & 1)
