"""What may weigh: the places and the lines of a game, said as a rule sheet says them.

Cells that the game's symmetries turn into each other weigh the same.  Lines weigh by how many marks of each side they
hold, and fall into classes that weigh apart: all in one (`TOGETHER`), straight and diagonal ones (`APART`), or those
together that turn into each other (`ALIKE`, and of `APART` those that are neither).
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from games.game import LineGame
from games.problems import listed
from solver.meanings import CellWeight, LineWeight, Weight
from solver.sheet.weights import (
    cells_in,
    cells_like,
    diagonal_lines,
    lines_like,
    straight_lines,
)

TOGETHER, APART, ALIKE = "together", "apart", "alike"
CLASSES = (TOGETHER, APART, ALIKE)
"""The ways to class lines, from the coarsest to the finest."""


class Term(NamedTuple):
    """One thing that may weigh: the words for it behind *for* in a sheet, and what it adds where it weighs 1."""

    words: str
    unit: Weight


def terms_of(game: LineGame, classes: str) -> tuple[Term, ...]:
    """Everything that may weigh in a game, its lines classed in one of the `CLASSES`, in the order of a sheet."""
    return (*_places(game), *_lines(game, classes))


def _places(game: LineGame) -> Iterator[Term]:
    """The cells, those together that turn into each other."""
    groups = game.board.groups()
    names = {groups["corners"]: "a corner", groups["edges"]: "an edge", groups["centre"]: "the centre"}
    for alike in dict.fromkeys(cells_like(game, cell) for cell in range(game.board.size)):
        cells = cells_in(alike)
        first = game.board.names[cells[0]]
        words = names.get(tuple(cells), first if len(cells) == 1 else f"a cell like {first}")
        yield Term(words, CellWeight(1, alike))


def _lines(game: LineGame, classes: str) -> Iterator[Term]:
    """The lines of each class, by how many marks they hold: the fewest first, then most of one's own first."""
    for words, lines in _line_classes(game, classes):
        most = max(line.bit_count() for line in lines) - 1
        for marks in range(most + 1):
            for visitors in range(marks + 1):
                mine = marks - visitors
                yield Term(f"{words} with {_held(mine, visitors)}", LineWeight(1, lines, mine, visitors))


def _held(mine: int, visitors: int) -> str:
    said = [f"{mine} of mine"] * (mine > 0) + [f"{visitors} of the visitor's"] * (visitors > 0)
    return " and ".join(said) or "no marks"


def _line_classes(game: LineGame, classes: str) -> Iterator[tuple[str, tuple[int, ...]]]:
    """The words for each class of lines, and its lines; classes without any are left out."""
    if classes == TOGETHER:
        named = [("a line", game.lines)]
    elif classes == APART:
        named = [("a straight line", straight_lines(game)), ("a diagonal line", diagonal_lines(game))]
    else:
        named = []
    yield from ((words, lines) for words, lines in named if lines)
    rest = [line for line in game.lines if not any(line in lines for _, lines in named)]
    for alike in dict.fromkeys(lines_like(game, line) for line in rest):
        names = [game.board.names[cell] for cell in cells_in(alike[0])]
        yield f"a line like {listed(names, 'and')}", alike


def turn_alike(game: LineGame, terms: Sequence[Term]) -> bool:
    """Whether boards that turn into each other weigh alike, as they do wherever a turned row is a row or a column."""
    return all(
        set(lines_like(game, line)) <= set(term.unit.lines)
        for term in terms
        if isinstance(term.unit, LineWeight)
        for line in term.unit.lines
    )
