"""The TOML of the family **marks**: a board, its lines, and how marks are put on it.

Most games of the family are `games.marks.marks.Marks`; those in which marks fall or belong to nobody have modules of
their own, which are loaded only when one is read.
"""

from collections.abc import Sequence

from games.board import WIDEST, Board, usual_names
from games.cell_names import check_cell_names
from games.game import Game
from games.inputs import InputForm
from games.marks.marks import MOST_CELLS, Marks
from games.problems import near_miss
from games.squares import lines_in_a_row
from games.tomlfile import Table

LONGEST_NAME = InputForm().longest
"""Characters: a move can be keyed in under house rules that do not say how long a line may be."""
OWN, EITHER, SAME = "own", "either", "same"
WHOSE = (OWN, EITHER, SAME)
"""Which marks a player puts: marks of their own, an X or an O as they like, or an X like the other."""
MOST_BITS = 63
"""What a position has for a board where marks fall, the turn taken off."""


def read_marks(table: Table, name: str) -> Game | None:
    """The game that a TOML table of this family describes; None if it has mistakes, which the table has noted.

    Keys: ``columns``, ``rows``, ``holes``; ``in-a-row`` or ``lines`` (lists of cell names); ``cells`` (names in
    reading order); ``misere``; ``gravity``; ``marks``; ``title``; ``from``.
    """
    before = len(table.problems)
    columns = table.whole("columns", least=1, most=26)
    rows = table.whole("rows", least=1, most=26)
    is_sound = len(table.problems) == before
    named_holes = table.texts("holes", default=())
    names = table.texts("cells", default=())
    named_lines = _read_lines(table)
    misere = table.flag("misere", default=False)
    falls = table.flag("gravity", default=False)
    whose = table.text("marks", default=OWN, one_of=WHOSE)
    title = table.text("title", default=name)
    origin = table.text("from", default="")
    holes = _holes(table, columns, rows, named_holes) if is_sound else []
    if not is_sound or not _fits(table, columns, rows, len(holes), falls=falls):
        table.whole("in-a-row", default=2)  # nothing can be said about what is on the board
        return None
    board = Board(columns, rows, names, holes)
    check_cell_names(table, board, LONGEST_NAME - (whose == EITHER))
    if falls:
        _check_falling(table, whose)
    else:
        _check_width(table, board)
    lines = _named_lines(table, board, named_lines) if "lines" in table else _lines_in_a_row(table, board)
    if len(table.problems) > before:
        return None
    if falls:
        from games.marks.gravity import Gravity

        return Gravity(name, board, lines, title=title, origin=origin, misere=misere)
    if whose != OWN:
        from games.marks.shared import SharedMarks

        signs = "XO" if whose == EITHER else "X"
        return SharedMarks(name, board, lines, signs, title=title, origin=origin, misere=misere)
    return Marks(name, board, lines, title=title, origin=origin, misere=misere)


# The board ------------------------------------------------------------------------------------------------


def _holes(table: Table, columns: int, rows: int, named: Sequence[str]) -> list[int]:
    """The squares that are no cells; they are called as cells are that have no names of their own."""
    squares = usual_names(columns, rows)
    for name in named:
        if name not in squares:
            table.wrong(
                "holes", f"'holes' names '{name}', and there is no such square{near_miss(name, squares)}"
            )
    if len(set(named)) != len(named):
        table.wrong("holes", "'holes' names a square twice; expected each once")
    return [square for square, name in enumerate(squares) if name in named]


def _fits(table: Table, columns: int, rows: int, holes: int, *, falls: bool) -> bool:
    """Whether the board has cells and is small enough; if not, that is noted."""
    cells = columns * rows - holes
    size = f"a board of {columns} x {rows} cells"
    if cells == 0:
        table.wrong("holes", "every square is a hole; expected some cells to play on")
        return False
    if falls:
        bits = columns * (rows + 1)
        if bits > MOST_BITS:
            table.wrong(
                "columns",
                f"{size} is too large where marks fall: it takes {columns} x {rows + 1} = {bits} bits; "
                f"expected at most {MOST_BITS}",
            )
        return bits <= MOST_BITS
    if cells > MOST_CELLS:
        with_holes = f", {holes} of them holes," if holes else ""
        table.wrong("columns", f"{size}{with_holes} is too large; expected at most {MOST_CELLS} cells")
    return cells <= MOST_CELLS


def _check_width(table: Table, board: Board) -> None:
    """Names must fit on a line of the screen, close together if need be."""
    longest = max(board.names, key=len)
    width = board.columns * (len(longest) + 1) - 1
    if width > WIDEST + 1:
        table.wrong(
            "cells" if "cells" in table else "columns",
            f"{board.columns} columns with names such as '{longest}' would be {width} characters wide; "
            f"expected at most {WIDEST + 1}",
        )


def _check_falling(table: Table, whose: str) -> None:
    if "holes" in table:
        table.wrong("holes", "marks would fall into the holes; expected no 'holes' beside gravity = true")
    if whose != OWN:
        table.wrong("marks", f'marks = "{whose}" does not go with gravity = true; expected one of them')


# The lines ------------------------------------------------------------------------------------------------


def _read_lines(table: Table) -> list[tuple[str, ...]]:
    """The lines by the names of their cells, as they are written."""
    before = len(table.problems)
    lines = table.text_lists("lines")
    if "lines" in table and not lines and len(table.problems) == before:
        table.wrong("lines", "there are no lines; expected at least one")
    return lines


def _lines_in_a_row(table: Table, board: Board) -> list[tuple[int, ...]]:
    """Every straight line of as many cells as ``in-a-row`` says."""
    before = len(table.problems)
    length = table.whole("in-a-row", least=2, most=max(2, board.columns, board.rows))
    lines = lines_in_a_row(board, length)
    if not lines and len(table.problems) == before:
        without = " without going through a hole" if "holes" in table else ""
        table.wrong(
            "in-a-row",
            f"no line of {length} cells fits on a board of {board.columns} x {board.rows}{without}",
        )
    return lines


def _named_lines(table: Table, board: Board, named: Sequence[tuple[str, ...]]) -> list[tuple[int, ...]]:
    """The lines of a list of one's own."""
    if "in-a-row" in table:
        table.wrong("lines", "both 'lines' and 'in-a-row' are given; expected one of them")
    table.whole("in-a-row", default=2)
    kept: list[tuple[str, ...]] = []
    for names in named:
        unknown = [name for name in names if name not in board.names]
        if unknown:
            table.wrong("lines", f"a line goes through '{unknown[0]}', and there is no such cell")
        elif len(names) < 2 or len(set(names)) != len(names):
            table.wrong(
                "lines", f"a line is {', '.join(names) or 'empty'}; expected two or more different cells"
            )
        elif sorted(names) in map(sorted, kept):  # two lines that are one would pass for a double threat
            table.wrong("lines", f"the line {', '.join(names)} is given twice; expected each once")
        else:
            kept.append(names)
    return [tuple(board.names.index(name) for name in names) for names in kept]
