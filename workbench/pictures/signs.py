"""A drawing of plain text taken apart into figures: counters, pins, lines, dots and squares, and what is left as text.

Places are in characters: the middle of the first one of the first line is (0.5, 0.5).
"""

import re
from collections.abc import Sequence
from typing import NamedTuple

Place = tuple[float, float]
Stroke = tuple[Place, Place]
COUNTER, PIN, LYING, DOT, GONE, SQUARE = "o", "|", "-", "+", ".", "#"
FIGURES = set("o|-+.#")
TOKEN = re.compile(r"[^\s]+")


class Figures(NamedTuple):
    """What stands in a drawing.

    strokes: pins and lines from place to place, whole ones where they run on; counters, dots, gone (places that are
    empty), squares: by their middles; texts: each with the place of its first character's left edge.
    """

    strokes: list[Stroke]
    counters: list[Place]
    dots: list[Place]
    gone: list[Place]
    squares: list[Place]
    texts: list[tuple[Place, str]]


def figures(lines: Sequence[str]) -> Figures:
    """The figures of a drawing: only words that are made of such signs alone are drawn, all others stay text.

    >>> figures(["a 2 oo."]).texts
    [((0, 0.5), 'a'), ((2, 0.5), '2')]
    >>> figures(["+---+"]).strokes
    [((0.5, 0.5), (4.5, 0.5))]
    """
    found = Figures([], [], [], [], [], [])
    signs: dict[tuple[int, int], str] = {}
    for row, line in enumerate(lines):
        for token in TOKEN.finditer(line):
            if FIGURES.issuperset(token[0]):
                signs.update({(token.start() + at, row): sign for at, sign in enumerate(token[0])})
            else:
                found.texts.append(((token.start(), row + 0.5), token[0]))
    middles = {COUNTER: found.counters, DOT: found.dots, GONE: found.gone, SQUARE: found.squares}
    for (column, row), sign in signs.items():
        if sign in middles:
            middles[sign].append((column + 0.5, row + 0.5))
        elif sign == PIN:
            found.strokes.append(_upright(signs, column, row))
        elif signs.get((column - 1, row)) != LYING:
            found.strokes.append(_lying(signs, column, row))
    return found


def _upright(signs: dict[tuple[int, int], str], column: int, row: int) -> Stroke:
    """A pin; one that leads to dots above or below reaches their middles."""
    top = row - 0.5 if signs.get((column, row - 1)) == DOT else row
    bottom = row + 1.5 if signs.get((column, row + 1)) == DOT else row + 1
    return (column + 0.5, top), (column + 0.5, bottom)


def _lying(signs: dict[tuple[int, int], str], column: int, row: int) -> Stroke:
    """A line of lying strokes from here to where they end; the middles of dots beside them are reached."""
    end = column
    while signs.get((end + 1, row)) == LYING:
        end += 1
    left = column - 0.5 if signs.get((column - 1, row)) == DOT else column
    right = end + 1.5 if signs.get((end + 1, row)) == DOT else end + 1
    return (left, row + 0.5), (right, row + 0.5)
