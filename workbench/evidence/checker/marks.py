"""Games of marks: marks on free cells; a full line ends the game."""

from typing import Any

from .boards import LETTERS, Board, Family, put
from .terms import DRAW, FIRST, SEATS, State, Toml


class Marks(Family):
    """Marks on free cells; a full line ends the game."""

    def __init__(self, toml: Toml) -> None:
        self.board = Board(toml)
        self.lines = self.board.lines(toml)
        self.misere = toml.get("misere", False)
        self.falls = toml.get("gravity", False)
        self.whose = toml.get("marks", "own")
        self.names = self.board.names
        if self.falls:
            self.names = list(LETTERS[: self.board.columns])
        elif self.whose == "either":
            self.names = [sign + name for name in self.board.names for sign in "xo"]
        self.start = (FIRST, "_" * len(self.board.names))

    def cell(self, state: State, name: str) -> int | None:
        """The cell on which the mark of a move comes to stand; None in a full column."""
        if self.falls:
            column = LETTERS.index(name)
            cells = [self.board.cell_at[column, row] for row in reversed(range(self.board.rows))]
            return next((cell for cell in cells if state[1][cell] == "_"), None)
        return self.board.names.index(name[1:] if self.whose == "either" else name)

    def why_not(self, state: State, name: str) -> str:
        cell: Any = self.cell(state, name)
        if cell is None:
            return "column-full"
        sign = state[1][cell]
        if sign == "_":
            return ""
        return {"F": "taken-by-first", "S": "taken-by-second"}.get(sign, "taken")

    def after(self, state: State, name: str) -> State:
        turn, signs = state
        sign = {"own": "FS"[turn], "either": name[0].upper(), "same": "X"}[self.whose]
        return (1 - turn, put(signs, [(self.cell(state, name), sign)]))

    def ending(self, state: State) -> str | None:
        turn, signs = state
        for line in self.lines:
            held = {signs[cell] for cell in line}
            if len(held) == 1 and "_" not in held:
                by = "FS".index(*held) if self.whose == "own" else 1 - turn
                return SEATS[1 - by if self.misere else by]
        return None if "_" in signs else DRAW
