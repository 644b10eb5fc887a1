"""Positions after the game's own drawings in plain text, with counters, pins, lines and squares as figures."""

import re
from collections.abc import Callable, Mapping, Sequence

import numpy as np

from games.codes import Codes
from games.game import Game
from workbench.pictures.inks import FAINT, INK, PAPER
from workbench.pictures.signs import Figures, figures
from workbench.svg import Point, disc_path, element, line_path, words

SIGN_WIDE, SIGN_HIGH = 4.9, 9.5
"""The room for a character of text, at a size of 8."""


class TextPictures:
    """Positions after the game's own drawings in plain text; what was done last has a ring in place of brackets."""

    def __init__(
        self,
        game: Game,
        strip: Callable[[Codes], Codes],
        codes: Sequence[int],
        seat: int,
        *,
        named: bool,
    ) -> None:
        self._game = game
        self._seat = seat
        self._named = named
        bare = strip(np.array(codes, dtype=np.uint64)).tolist()
        self._bare = dict(zip(codes, bare, strict=True))
        drawings = [game.drawing(inner, seat, named=named) for inner in set(bare)]
        self.wide = SIGN_WIDE * max(len(line) for lines in drawings for line in lines)
        self.high = SIGN_HIGH * max(map(len, drawings))

    def draw(self, code: int, last: int | None = None) -> str:
        """One line below the other, each character in its column; counters, pins and lines as figures."""
        lines = self._game.drawing(self._bare[code], self._seat, last, named=self._named)
        top = (self.high - SIGN_HIGH * len(lines)) / 2
        if last is None:
            return _drawn(figures(lines), top)
        rings = [
            _ring_around(found, top + SIGN_HIGH * (row + 0.5))
            for row, line in enumerate(lines)
            for found in IN_BRACKETS.finditer(line)
        ]
        return _drawn(figures([IN_BRACKETS.sub(_without_brackets, line) for line in lines]), top) + "".join(
            rings
        )


def _drawn(found: Figures, top: float) -> str:
    """Figures as SVG, whose first line begins `top` down."""

    def on_paper(place: Point) -> Point:
        return place[0] * SIGN_WIDE, top + place[1] * SIGN_HIGH

    def discs(places: Sequence[Point], radius: float) -> str:
        return "".join(disc_path(*on_paper(place), radius) for place in places)

    squares = [
        line_path(
            [(x - 3.2, y - 3.2), (x + 3.2, y - 3.2), (x + 3.2, y + 3.2), (x - 3.2, y + 3.2)], closed=True
        )
        for x, y in map(on_paper, found.squares)
    ]
    strokes = [line_path([on_paper(begin), on_paper(end)]) for begin, end in found.strokes]
    parts: list[tuple[str, Mapping[str, object]]] = [
        ("".join(strokes), {"stroke": INK, "stroke_width": 1.4}),
        (discs(found.gone, 1), {"fill": FAINT}),
        (discs(found.dots, 1.3), {"fill": INK}),
        (discs(found.counters, 1.9), {"fill": PAPER, "stroke": INK, "stroke_width": 1}),
        ("".join(squares), {"fill": INK}),
    ]
    drawn = [element("path", None, d=path, **how) for path, how in parts if path]
    for place, text in found.texts:
        x, y = on_paper(place)
        drawn.append(words("text", text, x=x, y=y + SIGN_HIGH * 0.3, class_="signs"))
    return "".join(drawn)


IN_BRACKETS = re.compile(r"\(([^()]+)\)")
"""How games point out in their drawings what was done last."""


def _without_brackets(found: re.Match[str]) -> str:
    """What stood in brackets; a lying line that was cut short by them is whole again."""
    return "---" if found[1] == "-" else f" {found[1]} "


def _ring_around(found: re.Match[str], middle: float) -> str:
    """A ring around some characters of a line whose middle lies at this height."""
    begin, end = found.span(1)
    half = SIGN_WIDE * (end - begin) / 2
    ring = {"cx": SIGN_WIDE * begin + half, "cy": middle, "rx": half + 1.6, "ry": SIGN_HIGH * 0.46}
    return element("ellipse", None, **ring, fill="none", stroke=INK, stroke_width=0.9)
