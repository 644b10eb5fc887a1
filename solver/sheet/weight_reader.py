"""Reading the weights below *take the heaviest cell*, one a line.

``3 for the centre``, ``9 for a line with 2 of mine``, ``-1 for a diagonal line with no marks``.
"""

from collections.abc import Callable, Sequence
from typing import NamedTuple

from games.game import LineGame
from games.problems import Problem
from solver.meanings import CellWeight, LineWeight, Weight
from solver.sheet.named import named_cells
from solver.sheet.parser import Piece, Tree, parse_weight
from solver.sheet.weights import cells_like, diagonal_lines, lines_like, straight_lines

MOST = 9999
"""The greatest weight that a sheet may give, either way."""

_KINDS: dict[str, tuple[str, Callable[[LineGame], tuple[int, ...]]]] = {
    "any_line": ("", lambda game: game.lines),
    "straight_line": ("straight ", straight_lines),
    "diagonal_line": ("diagonal ", diagonal_lines),
}


class _Row(NamedTuple):
    """One weight's line: where it stands and what is written there."""

    file: str
    line: int
    text: str

    def wrong(self, column: int, message: str) -> Problem:
        """What is wrong at a column of it."""
        return Problem(self.file, self.line, column, message, self.text)


class WeightReader:
    """Reads the weights of one rule; problems are gathered so that all are told at once."""

    def __init__(self, file: str, game: LineGame) -> None:
        self.file = file
        self.game = game
        self.problems: list[Problem] = []

    def read(self, rows: Sequence[tuple[int, str]]) -> list[Weight]:
        """The weights in some rows, each given with its line counted from 1."""
        said: dict[str, int] = {}
        found = []
        for line, text in rows:
            tree = parse_weight(text, self.file, line)
            weight = (
                tree if isinstance(tree, Problem) else self._weight(tree, _Row(self.file, line, text), said)
            )
            if isinstance(weight, Problem):
                self.problems.append(weight)
            else:
                found.append(weight)
        return found

    def _weight(self, tree: Tree, row: _Row, said: dict[str, int]) -> Weight | Problem:
        amount, what = _trees(tree)
        number = _piece(amount)
        if len(number.text) > len(str(MOST)):
            return row.wrong(number.column, f"expected a weight from -{MOST} to {MOST}, not {number.text}")
        first = said.setdefault(_words(what), row.line)
        if first != row.line:
            return row.wrong(number.column, f"this weight is given twice; the first time on line {first}")
        weight = int(number.text) * (-1 if amount.name == "minus" else 1)
        if what.name == "lines_with":
            return self._of_lines(weight, what, row, number.column)
        cells = self._cells(what, row, number.column)
        return cells if isinstance(cells, Problem) else CellWeight(weight, cells)

    def _cells(self, what: Tree, row: _Row, column: int) -> int | Problem:
        if what.name in ("named_cells", "cell_like"):
            names = what if what.name == "cell_like" else _trees(what)[0]
            cells = named_cells(self.game.board, names, *row)
            if isinstance(cells, Problem):
                return cells
            return cells_like(self.game, *cells) if names is what else sum(1 << cell for cell in cells)
        group = self.game.board.groups()[what.name]
        if not group:
            return row.wrong(column, f"this board has no {what.name}; expected another weight")
        return sum(1 << cell for cell in group)

    def _of_lines(self, weight: int, what: Tree, row: _Row, column: int) -> LineWeight | Problem:
        which, held = _trees(what)
        lines = self._lines(which, row, column)
        if isinstance(lines, Problem):
            return lines
        most = max(line.bit_count() for line in lines) - 1
        counts, total = {"of_mine": 0, "of_visitors": 0}, 0
        for part in _trees(held):
            number = _piece(part)
            total += int(number.text) if len(number.text) <= len(str(most)) else most + 1
            if total > most:
                marks = f"{most} mark{'s' * (most != 1)}"
                message = f"expected at most {marks} in all, since a cell of the line must be free"
                return row.wrong(number.column, message)
            counts[part.name] = int(number.text)
        return LineWeight(weight, lines, counts["of_mine"], counts["of_visitors"])

    def _lines(self, which: Tree, row: _Row, column: int) -> tuple[int, ...] | Problem:
        if which.name == "line_like":
            return self._like(_trees(which)[0], row)
        kind, find = _KINDS[which.name]
        found = find(self.game)
        return found or row.wrong(column, f"this game has no {kind}lines; expected another weight")

    def _like(self, names: Tree, row: _Row) -> tuple[int, ...] | Problem:
        cells = named_cells(self.game.board, names, *row)
        if isinstance(cells, Problem):
            return cells
        first = names.parts[0]
        assert isinstance(first, Piece)
        message = "these cells are no line of the game; expected all cells of one"
        return lines_like(self.game, sum(1 << cell for cell in cells)) or row.wrong(first.column, message)


def _trees(tree: Tree) -> list[Tree]:
    """The parts of a tree that are trees themselves."""
    return [part for part in tree.parts if isinstance(part, Tree)]


def _piece(tree: Tree) -> Piece:
    """The only part of a tree, a piece."""
    [piece] = tree.parts
    assert isinstance(piece, Piece)
    return piece


def _words(tree: Tree) -> str:
    """What a tree says, whatever capitals and blanks it was written with."""
    inner = [_words(part) if isinstance(part, Tree) else part.text.lower() for part in tree.parts]
    return f"{tree.name}({' '.join(inner)})"
