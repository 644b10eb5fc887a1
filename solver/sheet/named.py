"""The cells that a line of a sheet names."""

from collections.abc import Sequence

from games.board import Board
from games.problems import Problem, near_miss
from solver.sheet.meant import whole_rule_hint
from solver.sheet.parser import Piece, Tree


def named_cells(board: Board, tree: Tree, file: str, line: int, text: str) -> list[int] | Problem:
    """The cells that the parts of a tree name, in their order, or what is wrong with the first that names none."""
    names = {name.lower(): cell for cell, name in enumerate(board.names)}
    found: list[int] = []
    for piece in tree.parts:
        assert isinstance(piece, Piece)
        cell = names.get(piece.text.lower())
        if cell is None:
            return Problem(file, line, piece.column, _no_cell(piece.text, board.names, text), text)
        if cell in found:
            message = f"cell '{piece.text}' is named twice; expected each once"
            return Problem(file, line, piece.column, message, text)
        found.append(cell)
    return found


def _no_cell(word: str, known: Sequence[str], line: str) -> str:
    hint = near_miss(word, known) or whole_rule_hint(line)
    return f"there is no cell '{word}' on this board; expected one of {', '.join(known)}{hint}"
