"""Boards and lines of play as plain text."""

import textwrap
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from games.board import Board
from games.game import Game

FRAME_GAP = 2
LEAST_FRAME = 14


class Frame(NamedTuple):
    """One board of a line of play: what is written above it, and its rows."""

    caption: str
    rows: Sequence[str]


def board_rows(board: Board, mine: int, visitors: int, last: int | None = None) -> list[str]:
    """The signs of a position, three characters a cell; the cell marked last stands in brackets."""
    signs = board.sign_rows(mine, visitors)
    rows = []
    for row in range(board.rows):
        cells = (
            f"({sign})" if board.cell(column, row) == last else f" {sign} "
            for column, sign in enumerate(signs[row])
        )
        rows.append("".join(cells))
    return rows


def strip(frames: Sequence[Frame], width: int = 80) -> list[str]:
    """Boards side by side, as many as the width holds, then the next row of boards below."""
    if not frames:
        return []
    frame = max(LEAST_FRAME, *(len(row) for each in frames for row in each.rows))
    across = max(1, (width + FRAME_GAP) // (frame + FRAME_GAP))
    lines: list[str] = []
    for first in range(0, len(frames), across):
        lines.extend([*_side_by_side(frames[first : first + across], frame), ""])
    return lines


def _side_by_side(frames: Sequence[Frame], width: int) -> list[str]:
    captions = [textwrap.wrap(frame.caption, width) for frame in frames]
    tallest = max(len(caption) for caption in captions)
    blocks = [
        [*([""] * (tallest - len(caption))), *caption, *frame.rows]
        for caption, frame in zip(captions, frames, strict=True)
    ]
    return [
        (" " * FRAME_GAP).join(cell.ljust(width) for cell in row).rstrip()
        for row in zip(*blocks, strict=True)
    ]


def labelled(board: Board, shown: Sequence[str]) -> list[str]:
    """The board as a grid of texts, one a cell, with rules between."""
    width = max(len(text) for text in shown)
    rows = [
        " | ".join(shown[board.cell(column, row)].center(width) for column in range(board.columns))
        for row in range(board.rows)
    ]
    between = "-+-".join("-" * width for _ in range(board.columns))
    lines = [f"  {rows[0]}"]
    for row in rows[1:]:
        lines.extend([f"  {between}", f"  {row}"])
    return [line.rstrip() for line in lines]


def cell_labels(game: Game) -> list[str]:
    """The board with the name of each cell."""
    return labelled(game.board, game.board.names)


def line_names(game: Game, lines: Iterable[int]) -> list[str]:
    """Each line by the names of its cells: ``1-2-3``."""
    names = game.board.names
    return ["-".join(name for cell, name in enumerate(names) if line >> cell & 1) for line in lines]
