"""Marks on cells: a word for each cell, and lines as a table of their cells.

A cell holds 0 where it is free, 1 for the machine's mark and 2 for the visitor's; so the cells of a line, all taken
together bit by bit, leave something only if one side holds them all.
"""

from collections.abc import Mapping
from typing import cast

from budget.card import ORDER_SHEET
from budget.lowering.ground import DRAWN, LOST, MACHINE, VISITOR, WON, Digit, Ground, Setting
from budget.lowering.lined import write_lined
from budget.lowering.text import NotLowered
from games.game import LineGame
from games.inputs import BY_MACHINE, BY_VISITOR
from games.marks.marks import Marks
from solver.sheet.weights import cells_in

OWN, THEIRS = 1, 2
MARK = {MACHINE: OWN, VISITOR: THEIRS}


def ground(setting: Setting) -> Ground | None:
    """The ground of a game of marks, where its cells are chosen to be digits."""
    return MarksGround(setting) if is_kept(setting, "digits") else None


BOARDS = ("digits", "sums", "bits")
"""The ways to keep a board of marks; each has a module in this package."""


def is_kept(setting: Setting, way: str) -> bool:
    """Whether the game is one of marks, and its board is kept in one of these ways."""
    return type(setting.game) is Marks and setting.choices.pick("board", BOARDS, is_weighty=True) == way


class MarksGround:
    """A board of marks; `marks` says what a cell holds with a mark of either."""

    marks: Mapping[str, int] = MARK

    def __init__(self, setting: Setting) -> None:
        self.setting = setting
        self.text = setting.text
        self.game = cast(LineGame, setting.game)
        self.cells = self.game.board.size
        self.misere = cast(Marks, setting.game).misere
        self.lines = [cells_in(line) for line in self.game.lines]
        if len({len(line) for line in self.lines}) > 1:
            raise NotLowered("its lines are not equally long")
        self.board = self.text.variable("board", self.cells)
        self._counters = sorted(who for who, how in setting.happens if how == DRAWN)

    def set_up(self) -> None:
        """Every cell free."""
        text, again = self.text, self.text.fresh("clear")
        text.remark("clear the board")
        text.number(-self.cells)
        text.op("store", "move")
        if self._counters:
            text.op("store", text.variable("free", remark="how many cells are, negative"))
        text.label(again)
        text.number(0)
        text.ops("by move", f"store board+{self.cells}", "count move", f"ifnonzero {again}")

    def judge(self, refused: Mapping[str, str]) -> None:
        """A taken cell is refused."""
        text, free = self.text, self.text.fresh("legal")
        text.ops("by move", f"load board+{self.cells}", f"ifzero {free}")
        if refused[BY_MACHINE] != refused[BY_VISITOR]:
            text.jump_if(self.marks[MACHINE], refused[BY_MACHINE])
        text.ops(f"jump {refused[BY_VISITOR]}", f"{free}:")

    def refusing(self) -> str:
        """The cells, where nothing has to be told of who holds one: on machines whose orders are ours."""
        card = self.text.card
        return "board" if card.programs != ORDER_SHEET and not card.fixed_words else ""

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """The same for either player."""
        self.text.ops("by move", f"load board+{self.cells}", f"ifnonzero {label}")

    def play(self, who: str) -> None:
        """A mark on the cell, which holds 0."""
        if self.marks[who] == 1 and self.text.card.programs != ORDER_SHEET:
            self.text.ops("by move", f"count board+{self.cells}")
            return
        self.text.number(self.marks[who])
        self.text.ops("by move", f"store board+{self.cells}")

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """A line, or no cell left."""
        text = self.text
        lined = (WON if who == MACHINE else LOST) if not self.misere else (LOST if who == MACHINE else WON)
        if lined in labels:
            self.if_lined(who, labels[lined])
        if self._counters:
            text.op("count", "free")
            if DRAWN in labels:
                text.op("ifzero", labels[DRAWN])

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """Nothing comes of it."""

    def kept(self) -> tuple[str, ...]:
        """The count of free cells."""
        return ("free",) if self._counters else ()

    def undo(self, who: str) -> None:
        """The cell `move` free again."""
        self.text.number(0)
        self.text.ops("by move", f"store board+{self.cells}")

    def if_lined(self, who: str, label: str) -> None:
        """Go on at a label if a line is full of marks of theirs, who have just moved."""
        self.text.routine("lined", lambda: write_lined(self.text, self.lines))
        self.text.op("ifnonzero", label)

    def digits(self) -> tuple[Digit, ...]:
        """The cells."""
        return tuple(Digit(f"board+{cell}", 3) for cell in range(self.cells))
