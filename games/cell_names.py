"""Cell names of one's own, as the TOML of a game on a board gives them under the key ``cells``."""

from collections.abc import Sequence

from games.board import Board
from games.problems import so_many
from games.tomlfile import Table


def check_cell_names(table: Table, board: Board, longest: int, kept: Sequence[str] = ()) -> None:
    """Note every name that cannot be typed as a word of its own, and names that come twice.

    longest: how many characters a name may have; kept: words that mean something else already.
    """
    names = board.names
    if len(names) != board.size:
        table.wrong(
            "cells", f"'cells' names {so_many(len(names), 'cell')}; expected {board.size}, in reading order"
        )
    if len({name.lower() for name in names}) != len(names):  # what is keyed in counts in either case
        table.wrong("cells", "'cells' names a cell twice; expected every name once, in capitals or not")
    for name in names:
        if not (name.isascii() and name.isalnum()):
            table.wrong("cells", f"a cell cannot be called '{name}'; expected letters and digits only")
        elif len(name) > longest:
            table.wrong("cells", f"a cell cannot be called '{name}'; expected at most {longest} characters")
        elif name.lower() in kept:
            table.wrong("cells", f"a cell cannot be called '{name}', which is a word of the moves")
