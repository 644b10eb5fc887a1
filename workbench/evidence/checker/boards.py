"""Boards: cells with names, lines of cells, how a position is written; and what all games on boards share."""

from collections.abc import Iterable, Sequence
from itertools import product
from typing import Any

from .terms import FIRST, State, Toml, Wrong

Way = tuple[int, int]
"""Columns to the right and rows down."""
MOST_CELLS = 64
LETTERS = "abcdefghijklmnopqrstuvwxyz"


class Board:
    """Named cells on a rectangle, in reading order; some places of it may be holes."""

    def __init__(self, toml: Toml) -> None:
        self.columns, self.rows = toml["columns"], toml["rows"]
        holes = toml.get("holes", [])
        if self.columns * self.rows - len(holes) > MOST_CELLS:
            raise Wrong(f"so large a board no game has; expected at most {MOST_CELLS} cells")
        places = [(column, row) for row in range(self.rows) for column in range(self.columns)]
        usual = [f"{LETTERS[column]}{row + 1}" for column, row in places]
        if (self.columns, self.rows) == (3, 3):
            usual = [str(number) for number in range(1, 10)]
        if not set(holes) <= set(usual):
            raise Wrong("there is a hole where there is no square")
        kept = [(place, name) for place, name in zip(places, usual, strict=True) if name not in holes]
        self.where = [place for place, _ in kept]
        self.cell_at = {place: cell for cell, place in enumerate(self.where)}
        self.names = list(toml.get("cells") or [name for _, name in kept])

    def text(self, signs: str) -> str:
        """The signs of the cells as rows, a dot in every hole."""
        at = dict(zip(self.where, signs, strict=True))
        rows = [[at.get((column, row), ".") for column in range(self.columns)] for row in range(self.rows)]
        return "/".join(map("".join, rows))

    def read(self, rows: Sequence[str]) -> str:
        """The signs of the cells that stand in rows."""
        return "".join(rows[row][column] for column, row in self.where)

    def lines(self, toml: Toml) -> list[list[int]]:
        """The lines as lists of cells: those that are given, or all that are so long."""
        if "lines" in toml:
            return [[self.names.index(name) for name in line] for line in toml["lines"]]
        length, found = min(toml.get("in-a-row", 0), MOST_CELLS + 1), []
        for (column, row), (right, down) in product(self.where, ((1, 0), (0, 1), (1, 1), (-1, 1))):
            line: list[Any] = [
                self.cell_at.get((column + right * step, row + down * step)) for step in range(length)
            ]
            if line and None not in line:
                found.append(line)
        return found


def seen_from(seat: int, signs: str) -> str:
    """Men or marks as the machine in this seat sees them."""
    return signs.translate(str.maketrans("FS", "MV" if seat == FIRST else "VM"))


def put(signs: str, changes: Iterable[tuple[Any, str]]) -> str:
    """The signs with some cells changed."""
    changed = list(signs)
    for cell, sign in changes:
        changed[cell] = sign
    return "".join(changed)


class Family:
    """What all families share.  A state begins with whose turn it is and the signs of the cells."""

    board: Board
    names: list[str]
    """Everything that can be typed and looks like a move."""
    start: State

    def mover(self, state: State) -> int:
        return int(state[0])

    def why_not(self, state: State, name: str) -> str:
        """The class of wrong input that this is here; nothing for a legal move."""
        raise NotImplementedError

    def after(self, state: State, name: str) -> State:
        """The state after a legal move."""
        raise NotImplementedError

    def ending(self, state: State) -> str | None:
        """Who has won, or a draw; None while the game goes on."""
        raise NotImplementedError

    def turn_lost(self, state: State) -> State:
        """The same position with the other player to move."""
        return (1 - state[0], *state[1:])

    def text(self, state: State, seat: int) -> str:
        return self.board.text(seen_from(seat, state[1]))

    def legal(self, state: State) -> list[str]:
        return [name for name in self.names if not self.why_not(state, name)]
