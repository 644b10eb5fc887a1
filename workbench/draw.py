"""Boards and lines of play as plain text."""

import textwrap
from collections.abc import Sequence
from typing import NamedTuple

from games.game import LineGame

FRAME_GAP = 2
LEAST_FRAME = 14


class Frame(NamedTuple):
    """One board of a line of play: what is written above it, and its rows."""

    caption: str
    rows: Sequence[str]


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


def line_names(game: LineGame) -> list[str]:
    """Each line by the names of its cells: ``1-2-3``."""
    names = game.board.names
    return ["-".join(name for cell, name in enumerate(names) if line >> cell & 1) for line in game.lines]
