"""Marks that belong to nobody: a word for each cell, 1 for an X and 2 for an O."""

from collections.abc import Mapping
from typing import cast

from budget.lowering.ground import DRAWN, MACHINE, Digit, Ground, Setting, by_last_mover
from budget.lowering.lined import write_lined
from games.marks.shared import SharedMarks


def ground(setting: Setting) -> Ground | None:
    """The ground of a game of shared marks."""
    return SharedGround(setting) if isinstance(setting.game, SharedMarks) else None


class SharedGround:
    """A board of shared marks.

    Where digits are wanted and there are two signs, there is a word for each sign on each cell, too.
    """

    def __init__(self, setting: Setting) -> None:
        game = cast(SharedMarks, setting.game)
        self.text = setting.text
        self._misere = game.misere
        self._moves = setting.moves
        self._signs = len(game.signs)
        self._cells = game.board.size
        self._lines = game.cells_in_lines
        self._counts = any(how == DRAWN for _, how in setting.happens)
        self._planes = ""
        self.text.variable("board", self._cells)

    def set_up(self) -> None:
        """Every cell free."""
        text, again = self.text, self.text.fresh("clear")
        text.remark("clear the board")
        text.number(-self._cells)
        if self._counts:
            text.op("store", text.variable("free", remark="how many cells are, negative"))
        text.ops("store move", f"{again}:")
        text.number(0)
        text.ops("by move", f"store board+{self._cells}")
        for sign in range(1, 1 + self._signs if self._planes else 1):
            text.ops("by move", f"store {self._planes}+{sign * self._cells}")
        text.ops("count move", f"ifnonzero {again}")

    def _cell(self) -> str:
        """The word that holds the cell of the move, less the count of cells; with two signs it is worked out."""
        if self._signs == 1:
            return "move"
        text, cell = self.text, self.text.variable("cell", remark="of the move, less their count")
        text.op("load", "move")
        text.plus(self._moves)
        text.op("right", 1)
        text.plus(-self._cells)
        text.op("store", cell)
        return cell

    def judge(self, refused: Mapping[str, str]) -> None:
        """A taken cell is refused."""
        self.unless_can(refused["taken"])

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """The same for either player."""
        self.text.ops(f"by {self._cell()}", f"load board+{self._cells}", f"ifnonzero {label}")

    def play(self, who: str) -> None:
        """The sign on the cell."""
        text, cell = self.text, self._cell()
        if self._signs == 1:
            text.number(1)
        else:
            text.ops("load move", "and =1")
            text.plus(1)
        text.ops(f"by {cell}", f"store board+{self._cells}")
        if self._planes:
            self._set_plane(cell, 1)

    def _set_plane(self, cell: str, held: int) -> None:
        """Set the word of the sign of `move` on the cell."""
        text, other, done = self.text, self.text.fresh("o_sign"), self.text.fresh("sign_set")
        text.ops("load move", "and =1", f"ifnonzero {other}")
        text.number(held)
        text.ops(f"by {cell}", f"store {self._planes}+{self._cells}", f"jump {done}", f"{other}:")
        text.number(held)
        text.ops(f"by {cell}", f"store {self._planes}+{2 * self._cells}", f"{done}:")

    def kept(self) -> tuple[str, ...]:
        """The count of free cells."""
        return ("free",) if self._counts else ()

    def undo(self, who: str) -> None:
        """The cell free again."""
        cell = self._cell()
        self.text.number(0)
        self.text.ops(f"by {cell}", f"store board+{self._cells}")
        if self._planes:
            self._set_plane(cell, 0)

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """A line of equal marks is the doing of who has moved; or no cell is left."""
        text, lined = self.text, by_last_mover(who, wins=not self._misere)
        if lined in labels:
            text.routine("lined", lambda: write_lined(text, self._lines))
            text.op("ifnonzero", labels[lined])
        if self._counts:
            text.op("count", "free")
            if DRAWN in labels:
                text.op("ifzero", labels[DRAWN])

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """Nothing comes of it."""

    def digits(self) -> tuple[Digit, ...]:
        """The cells, once for each sign."""
        if self._signs > 1:
            self._planes = self.text.variable(
                "planes", 2 * self._cells, "the cells with an X, and those with an O"
            )
        words = self._planes or "board"
        return tuple(Digit(f"{words}+{cell}", 2) for cell in range(self._signs * self._cells))
