"""Marks that fall: beside the cells a word for each column, the cell to which the next mark falls.

It is below 0 where the column is full, for the cell above the top one would be.
"""

from collections.abc import Mapping
from typing import cast

from budget.lowering.ground import MACHINE, VISITOR, Digit, Ground, Setting
from budget.lowering.grounds.marks import MarksGround
from games.codes import SECOND
from games.marks.gravity import Gravity


def ground(setting: Setting) -> Ground | None:
    """The ground of a game of falling marks."""
    return GravityGround(setting) if isinstance(setting.game, Gravity) else None


class GravityGround(MarksGround):
    """A board of falling marks.

    Where digits are wanted, a column is a number, too: the bits of the game's code, with its lid in a word beside it.
    """

    def __init__(self, setting: Setting) -> None:
        super().__init__(setting)
        board = cast(Gravity, setting.game).board
        self._columns, self._rows = board.columns, board.rows
        self.text.needs(-self._columns, self.cells, "the number of a cell")
        self._lows = self.text.variable("lows", self._columns, "where marks fall to, by column")
        self._numbers = ""
        self._doubled = {MACHINE: setting.seat == SECOND, VISITOR: setting.seat != SECOND}

    def _at(self, words: str) -> str:
        return f"{words}+{self._columns}"

    def set_up(self) -> None:
        """Every cell free, and marks fall to the bottom."""
        super().set_up()
        text, again = self.text, self.text.fresh("lows")
        text.number(-self._columns)
        text.ops("store move", f"{again}:", "load move")
        text.plus(self.cells)
        text.ops("by move", f"store {self._at(self._lows)}")
        if self._numbers:
            text.number(1)
            text.ops("by move", f"store {self._at('lids')}", "by move", f"store {self._at(self._numbers)}")
        text.ops("count move", f"ifnonzero {again}")

    def judge(self, refused: Mapping[str, str]) -> None:
        """A full column is refused."""
        self.unless_can(refused["column-full"])

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """The same for either player."""
        self.text.ops("by move", f"load {self._at(self._lows)}", f"ifminus {label}")

    def load_low(self) -> None:
        """A becomes the cell to which a mark falls in the column `move`; below 0 where that is full."""
        self.text.ops("by move", f"load {self._at(self._lows)}")

    def play(self, who: str) -> None:
        """A mark on the lowest free cell of the column."""
        text, cell = self.text, self.text.variable("cell", remark="to which the mark falls")
        text.ops("by move", f"load {self._at(self._lows)}", f"store {cell}")
        text.plus(-self._columns)
        text.ops("by move", f"store {self._at(self._lows)}")
        text.number(self.marks[who])
        text.ops(f"by {cell}", "store board")
        if self._numbers:
            self._add_to_number(who)

    def _add_to_number(self, who: str) -> None:
        """Add the lid to the column's number, once for the first player's mark and twice for the second's."""
        text, lid = self.text, self.text.variable("lid")
        text.ops("by move", f"load {self._at('lids')}", f"store {lid}", "add lid", "by move")
        text.op("store", self._at("lids"))
        if not self._doubled[who]:
            text.op("load", lid)
        text.ops("by move", f"add {self._at(self._numbers)}", "by move", f"store {self._at(self._numbers)}")

    def undo(self, who: str) -> None:
        """The topmost mark of the column `move` gone again."""
        text, cell = self.text, self.text.variable("cell")
        text.ops("by move", f"load {self._at(self._lows)}")
        text.plus(self._columns)
        text.ops("by move", f"store {self._at(self._lows)}", f"store {cell}")
        text.number(0)
        text.ops(f"by {cell}", "store board")
        if self._numbers:
            text.ops("by move", f"load {self._at('lids')}", "right 1", "by move", f"store {self._at('lids')}")
            text.op("store", text.variable("lid"))
            text.plus(-1)
            text.ops("by move", f"and {self._at(self._numbers)}", "add lid", "by move")
            text.op("store", self._at(self._numbers))

    def digits(self) -> tuple[Digit, ...]:
        """The columns."""
        self.text.needs(0, (1 << self._rows) - 1, "what stands in a column")
        self._numbers = self.text.variable("columns", self._columns, "what stands in each, as a number")
        self.text.variable("lids", self._columns, "the lid on each column")
        return tuple(Digit(f"{self._numbers}+{column}", 2 << self._rows) for column in range(self._columns))
