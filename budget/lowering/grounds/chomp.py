"""A bar of chocolate: a word for the length of each row."""

from collections.abc import Mapping
from typing import NoReturn, cast

from budget.lowering.ground import LOST_TURN, MACHINE, VISITOR, Digit, Ground, Setting, by_last_mover
from budget.lowering.text import NotLowered
from games.fill.chomp import Chomp


def ground(setting: Setting) -> Ground | None:
    """The ground of a bar of chocolate."""
    return ChompGround(setting) if isinstance(setting.game, Chomp) else None


class ChompGround:
    """A bar of chocolate.

    Where digits are wanted, there is a word for each step of the path along its lower edge, too: 1 where it goes up.
    """

    def __init__(self, setting: Setting) -> None:
        self.text = setting.text
        board = cast(Chomp, setting.game).board
        self._columns, self._rows, self._cells = board.columns, board.rows, board.size
        self._bits = setting.game.bits
        self._path = ""
        self.text.variable("rows", self._rows, "how long they are")

    def set_up(self) -> None:
        """The whole bar."""
        text, again = self.text, self.text.fresh("row")
        row = text.variable("row", remark="less the count of rows")
        text.number(-self._rows)
        text.ops(f"store {row}", f"{again}:")
        text.number(self._columns)
        text.ops(f"by {row}", f"store rows+{self._rows}", f"count {row}", f"ifnonzero {again}")
        self._follow()

    def _split(self) -> None:
        self.text.routine("split", self._write_split)

    def _write_split(self) -> None:
        """A subroutine: `row`, less their count, and `column` become those of the cell `move`."""
        text, again, done = self.text, self.text.fresh("above"), self.text.fresh("in_row")
        first, column = text.fresh("first_row"), text.variable("column")
        text.number(-self._rows)
        text.ops("store row", "load move")
        text.plus(self._cells)
        text.ops(f"jump {first}", f"{again}:", f"store {column}", "count row", f"load {column}", f"{first}:")
        text.op("store", column)
        text.plus(-self._columns)
        text.ops(f"ifminus {done}", f"jump {again}", f"{done}:", "back")

    def judge(self, refused: Mapping[str, str]) -> None:
        """A cell that is eaten is refused."""
        self.unless_can(refused["already-eaten"])

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """The same for either player."""
        self._split()
        self.text.ops(
            "by row", f"load rows+{self._rows}", "subtract column", f"ifminus {label}", f"ifzero {label}"
        )

    def play(self, who: str) -> None:
        """Cut this row and all below it where they are longer."""
        text, again, short = self.text, self.text.fresh("cut"), self.text.fresh("short")
        self._split()
        text.ops(f"{again}:", "by row", f"load rows+{self._rows}", "subtract column", f"ifminus {short}")
        text.ops("load column", "by row", f"store rows+{self._rows}")
        text.ops(f"{short}:", "count row", f"ifnonzero {again}")
        if who == VISITOR:
            self._follow()

    def _follow(self) -> None:
        """Write down the path along the lower edge, if it is wanted."""
        if self._path:
            self.text.routine("follow", self._write_follow)

    def _write_follow(self) -> None:
        text, again, up = self.text, self.text.fresh("step"), self.text.fresh("step_up")
        at = text.variable("step")
        text.number(-self._bits)
        text.ops(f"store {at}", f"{again}:")
        text.number(0)
        text.ops(f"by {at}", f"store {self._path}+{self._bits}", f"count {at}", f"ifnonzero {again}")
        text.number(-self._rows)
        text.ops("store row", f"{up}:", "load row", "negate")
        text.plus(-1)
        text.ops("by row", f"add rows+{self._rows}", f"store {at}")
        text.number(1)
        text.ops(f"by {at}", f"store {self._path}", "count row", f"ifnonzero {up}", "back")

    def kept(self) -> NoReturn:
        """Moves cannot be taken back yet: raises NotLowered."""
        raise NotLowered("what is eaten cannot be given back in a program yet")

    def undo(self, who: str) -> NoReturn:
        """The same."""
        self.kept()

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """Whoever has eaten the poisoned cell, and so all of the first row, loses."""
        over = by_last_mover(who, wins=False)
        if over in labels:
            self.text.ops("load rows+0", f"ifzero {labels[over]}")

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """Nothing comes of it, but that the machine looks at the board."""
        if what == LOST_TURN:
            self._follow()

    def digits(self) -> tuple[Digit, ...]:
        """The steps of the path."""
        self._path = self.text.variable("path", self._bits, "the lower edge from the left: 1 is a step up")
        return tuple(Digit(f"{self._path}+{step}", 2) for step in range(self._bits))
