"""Marks as sets: one word for the cells that the machine holds and one for the visitor's, bit c standing for cell c.

For boards that have no more cells than a word has bits.  A line is a word too.
"""

from collections.abc import Mapping
from typing import cast

from budget.lowering.ground import DRAWN, LOST, MACHINE, VISITOR, WON, Digit, Ground, Setting
from budget.lowering.grounds.marks import is_kept
from budget.lowering.looking import Test
from budget.lowering.text import NotLowered, WrongWay
from games.game import LineGame
from games.inputs import BY_MACHINE, BY_VISITOR
from games.marks.marks import Marks

SIDES = {MACHINE: "mine", VISITOR: "theirs"}
"""The word of each side."""


def ground(setting: Setting) -> Ground | None:
    """The ground of a game of marks, where its sets of cells are chosen to be words."""
    return BitsGround(setting) if is_kept(setting, "bits") else None


class BitsGround:
    """A board of marks as two words."""

    def __init__(self, setting: Setting) -> None:
        self.setting = setting
        self.text = text = setting.text
        self.game = cast(LineGame, setting.game)
        self.cells = self.game.board.size
        self.misere = cast(Marks, setting.game).misere
        if self.cells > text.word_bits:
            raise NotLowered(f"a word of {text.word_bits} bits is no set of {self.cells} cells")
        for side in SIDES.values():
            text.variable(side, remark="the cells held, a bit each")

    def set_up(self) -> None:
        """Every cell free."""
        self.text.remark("clear the board")
        self.text.number(0)
        self.text.ops("store mine", "store theirs")

    def judge(self, refused: Mapping[str, str]) -> None:
        """A taken cell is refused."""
        if refused[BY_MACHINE] == refused[BY_VISITOR]:
            self.unless_can(refused[BY_MACHINE])
            return
        text, free = self.text, self.text.fresh("legal")
        self._point()
        text.ops(f"ifzero {free}", "and mine", f"ifnonzero {refused[BY_MACHINE]}")
        text.ops(f"jump {refused[BY_VISITOR]}", f"{free}:")

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """A taken cell is refused to the machine, too."""
        self._point()
        self.text.op("ifnonzero", label)

    def _point(self) -> None:
        """`bit` becomes the cell `move` as a set, and A what is taken of it."""
        self.text.routine("point", self._write_point)

    def _write_point(self) -> None:
        text, bit = self.text, self.text.variable("bit", remark="the cell of the move as a set")
        text.number(1)
        text.ops("by move", f"left {self.cells}", f"store {bit}", "load mine", "add theirs", f"and {bit}")
        text.op("back")

    def play(self, who: str) -> None:
        """A mark on the cell; the visitor's has just been judged."""
        if who == MACHINE:
            self._point()
        self.text.ops(f"load {SIDES[who]}", "add bit", f"store {SIDES[who]}")

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """Nothing comes of it."""

    def kept(self) -> tuple[str, ...]:
        """Nothing more."""
        return ()

    def undo(self, who: str) -> None:
        """The cell `move` free again."""
        self._point()
        self.text.ops(f"load {SIDES[who]}", "subtract bit", f"store {SIDES[who]}")

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """A line, or no cell left."""
        text = self.text
        lined = WON if (who == MACHINE) != self.misere else LOST
        if lined in labels:
            text.op("load", SIDES[who])
            text.routine("lined", self._write_lined)
            text.op("ifnonzero", labels[lined])
        if DRAWN in labels:
            text.ops("load mine", "add theirs")
            text.jump_if((1 << self.cells) - 1, labels[DRAWN])

    def digits(self) -> tuple[Digit, ...]:
        """None: raises NotLowered."""
        raise WrongWay("the cells of a set are no digits of a number")

    # -- lines --------------------------------------------------------------------------------

    def _each_line(self, again: str) -> None:
        """Begin with the first line."""
        self._lines = (
            f"{self.text.table('lines', self.game.lines, 'the cells of each')}+{len(self.game.lines)}"
        )
        self.text.number(-len(self.game.lines))
        self.text.op("store", self.text.variable("line", remark="its number, less their count"))
        self.text.label(again)

    def _write_lined(self) -> None:
        """A subroutine: A, a set, becomes 0 unless a line is part of it."""
        text, held = self.text, self.text.variable("held")
        again, out = text.fresh("line"), text.fresh("lined")
        text.op("store", held)
        self._each_line(again)
        self._rest_of(held)
        text.ops(f"ifzero {out}", "count line", f"ifnonzero {again}", f"{out}:", "load line", "back")

    def _rest_of(self, held: str) -> None:
        """A becomes the cells of the line that are not in a set, as a number below 0 or 0."""
        self.text.ops("by line", f"load {self._lines}", f"and {held}", "by line", f"subtract {self._lines}")

    def fills(self, who: str) -> Test:
        """Whether a mark of theirs on `move` would fill a line."""
        return Test(lambda: self.text.op("load", SIDES[who]), "fills", self._write_fills, 1)

    def _write_fills(self) -> None:
        self.text.op("add", "bit")
        self.text.routine("lined", self._write_lined)
        self.text.op("back")

    def pairs(self, who: str, least: int) -> Test:
        """Whether so many lines through `move` are one move of theirs short of a threat."""
        return Test(lambda: self.text.op("load", SIDES[who]), "pairs", self._write_pairs, least)

    def _write_pairs(self) -> None:
        """A subroutine: A, a side's cells, becomes how many lines through `bit` lack that and one more free cell."""
        self.text.op("add", "bit")
        self._write_lacking_one("bit")

    def threats(self, who: str) -> None:
        """A becomes how many lines lack just one mark of theirs."""
        self.text.op("load", SIDES[who])
        self.text.routine("threats", lambda: self._write_lacking_one(""))

    def _write_lacking_one(self, through: str) -> None:
        """A, a set, becomes how many lines (through a cell) are in it but for one cell, which is free."""
        text, held, found = self.text, self.text.variable("held"), self.text.variable("found_lines")
        again, other, rest = text.fresh("line"), text.fresh("line_not"), text.variable("rest")
        text.op("store", held)
        text.number(0)
        text.op("store", found)
        self._each_line(again)
        if through:
            text.ops("by line", f"load {self._lines}", f"and {through}", f"ifzero {other}")
        self._rest_of(held)
        text.ops(f"ifzero {other}", "negate", f"store {rest}")
        text.plus(-1)
        text.ops(f"and {rest}", f"ifnonzero {other}", "load mine", "add theirs", f"and {rest}")
        text.ops(f"ifnonzero {other}", f"count {found}")
        text.ops(f"{other}:", "count line", f"ifnonzero {again}", f"load {found}", "back")

    def block(self) -> None:
        """A mark of the machine's on `move`, and its set in the word `blocked`."""
        self.play(MACHINE)
        self.text.op("load", "bit")
        self.text.op("store", self.text.variable("blocked"))

    def forced(self) -> Test:
        """Whether `move` would fill a line through the blocked cell for the machine, and is needed for it."""
        return Test(lambda: self.text.op("load", "mine"), "forced", self._write_forced, 1)

    def _write_forced(self) -> None:
        text, held = self.text, self.text.variable("held")
        again, other, out = text.fresh("line"), text.fresh("line_not"), text.fresh("forced")
        text.ops("add bit", f"store {held}")
        self._each_line(again)
        for cell in ("bit", "blocked"):
            text.ops("by line", f"load {self._lines}", f"and {cell}", f"ifzero {other}")
        self._rest_of(held)
        text.ops(
            f"ifzero {out}", f"{other}:", "count line", f"ifnonzero {again}", f"{out}:", "load line", "back"
        )

    # -- cells --------------------------------------------------------------------------------

    def unless_held(self, who: str, cell: int, label: str) -> None:
        """Go on at a label unless they hold a cell."""
        self.text.number(1 << cell)
        self.text.ops(f"and {SIDES[who]}", f"ifzero {label}")

    def unless_held_across(self, who: str, total: int, label: str) -> None:
        """Go on at a label unless they hold the cell that comes to `total` with the one in `move`."""
        spot = self.text.variable("spot_across")
        self.text.ops("load move", "negate", f"store {spot}")
        self.text.number(1)
        self.text.ops(f"by {spot}", f"left {total}-{self.cells}", f"and {SIDES[who]}", f"ifzero {label}")
