"""A line of play as boards side by side: one after every move, as many in a row as a page holds."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from games.game import Game
from games.problems import bad
from workbench.pictures.board import CAPTION_HIGH, RIM, Sheet, board_html, svg
from workbench.pictures.in_words import board_in_words, men_in_words, people
from workbench.svg import element

ACROSS = 300
"""The width of a strip, in units of its boards: what stands side by side on A4."""
GAP = 8


class Frame(NamedTuple):
    """One board of a line: the position, the move that led to it (None at the start), and what is said of it."""

    code: int
    move: int | None
    caption: str

    @property
    def is_named(self) -> bool:
        """Whether names are drawn on it: on the first board, so that a reader finds what is said below the others."""
        return self.move is None


def frames(
    game: Game, start: int, moves: Sequence[int], notes: Mapping[int, str] | None = None
) -> list[Frame]:
    """The boards of a line from a position on.

    moves: by their numbers in the game; under house rules wrong input that costs something is one of them.
    notes: what is to be said of some plies besides, counted from 1.
    Raises BadInput if a move is not legal where it is made.
    """
    shown, code = [Frame(start, None, "start")], start
    for ply, move in enumerate(moves, 1):
        who = people(game)[int(game.mover(np.array([code], dtype=np.uint64))[0])]
        code = after(game, code, move)
        note = f"; {notes[ply]}" if notes and ply in notes else ""
        shown.append(Frame(code, move, f"{ply}: {who} {game.move_names[move]}{note}"))
    return shown


def after(game: Game, code: int, move: int) -> int:
    """The position after a move.  Raises BadInput if the move is not legal there."""
    codes = np.array([code], dtype=np.uint64)
    options = game.moves(codes) if not game.ending(codes)[0] else None
    places = [] if options is None else np.flatnonzero(options.move == move).tolist()
    if options is None or not places:
        known = move < len(game.move_names)
        raise bad(
            f"move {game.move_names[move] if known else move} cannot be played here; expected a legal move"
        )
    return int(options.child[places[0]])


def strip_svg(game: Game, start: int, moves: Sequence[int]) -> str:
    """A line of play as a whole SVG picture: the start, and the board after every move with a ring around it.

    Raises BadInput if a move is not legal where it is made.
    """
    shown = frames(game, start, moves)
    sheet = Sheet(game, [frame.code for frame in shown])
    captions = [sheet.caption_lines(frame.caption) for frame in shown]
    step_down = sheet.high + CAPTION_HIGH * max(map(len, captions)) + GAP
    step_across = sheet.wide + GAP
    across = max(1, min(len(shown), int((ACROSS + GAP) // step_across)))
    parts = []
    for place, (frame, lines) in enumerate(zip(shown, captions, strict=True)):
        row, column = divmod(place, across)
        inner = sheet.drawn(frame.code, frame.move) + sheet.caption(lines)
        parts.append(
            element("g", inner, transform=f"translate({column * step_across:.1f} {row * step_down:.1f})")
        )
    rows = -(-len(shown) // across)
    wide, high = across * step_across - GAP, rows * step_down - GAP + RIM
    return svg(parts, wide, high, _title(game, shown), _told(game, shown))


def strip_html(game: Game, start: int, moves: Sequence[int], notes: Mapping[int, str] | None = None) -> str:
    """A line of play as an ordered list of figures, the first with names: each as `board_html` makes it.

    notes: as in `frames`.  Raises BadInput if a move is not legal where it is made.
    """
    items = [
        element(
            "li",
            board_html(game, frame.code, move=frame.move, caption=frame.caption, named=frame.is_named),
        )
        for frame in frames(game, start, moves, notes)
    ]
    return element("ol", items, class_="strip", start=0)


def _title(game: Game, shown: Sequence[Frame]) -> str:
    plies = len(shown) - 1
    return f"{game.title}: a line of {plies} {'ply' if plies == 1 else 'plies'}"


def _told(game: Game, shown: Sequence[Frame]) -> str:
    line = "; ".join(frame.caption for frame in shown[1:])
    end = board_in_words(game, shown[-1].code)
    return " ".join(
        part for part in (f"{line}." if line else "", f"At the end: {end}", men_in_words(game)) if part
    )
