"""A reply tree in a program: it keeps its place, and passes over branches by counting."""

from budget.lowering.answering.table_moves import Moves
from budget.lowering.answering.table_words import Stored
from budget.lowering.ground import Ground, Setting
from budget.lowering.grounds.bits import BitsGround
from budget.lowering.grounds.heaps import HeapsGround
from budget.lowering.grounds.marks import MarksGround
from budget.lowering.text import NotLowered
from budget.lowering.wide import Wide
from budget.packed import Packed
from games.codes import FIRST


class Counted:
    """A tree whose answers say by which move of the visitor's they are reached, and how many branches follow."""

    def __init__(self, setting: Setting, ground: Ground, packed: Packed) -> None:
        if not isinstance(ground, MarksGround | BitsGround | HeapsGround):
            raise NotLowered("the place in a tree is kept in games of marks and of heaps only")
        text = setting.text
        self._setting = setting
        self._ground = ground
        self._text = text
        self._packed = packed
        self._label, self._move = packed.constants["label"], packed.constants["move"]
        several = any(packed.run(column).fields.per_word > 1 for column in range(len(packed.columns)))
        self._via = text.variable("led_by", remark="the visitor's last move")
        self._at = Wide(text, "branch", packed.columns[0][1], signed=several)

    def set_up(self) -> None:
        """The first answer; if it is not to a move, there is none."""
        self._at.clear()
        if self._setting.seat == FIRST:
            self.turn_lost()

    def turn_lost(self) -> None:
        """No move."""
        self._text.number(0)
        self._text.op("store", self._via)

    def visitor_moves(self) -> None:
        """The move that leads to the next answer."""
        self._text.ops("load move", f"store {self._via}")

    def answer(self, found: str) -> None:
        """Pass over branches until the visitor's move is reached."""
        text, bits = self._text, self._text.word_bits
        fields = Stored(text, "tree", self._packed, 0)
        beside = len(self._packed.columns) == 1
        counts = fields if beside else Stored(text, "branches", self._packed, 1)
        longest = self._packed.constants["most"] * self._setting.moves
        text.needs(-longest - 1, longest, "how many branches are still to be passed over")
        again, hit, skip = text.fresh("branch_"), text.fresh("hit"), text.fresh("skip")
        open_ = text.variable("open", remark="branches still to be passed over, negative")
        text.label(again)
        fields.at(self._at)
        text.op("subtract", self._via)
        if self._label < bits:
            text.op("left", bits - self._label)
        text.op("ifzero", hit)
        text.number(-1)
        text.ops(f"store {open_}", f"{skip}:")
        counts.at(self._at)
        if beside:
            text.op("right", self._label + self._move)
        text.ops("negate", f"add {open_}")
        text.plus(1)
        text.op("store", open_)
        self._at.up()
        text.ops(f"load {open_}", f"ifnonzero {skip}", f"jump {again}", f"{hit}:")
        fields.at(self._at)
        text.op("right", self._label)
        if beside:
            text.op("and", f"={(1 << self._move) - 1}")
        held = text.variable("held")
        text.op("store", held)
        self._at.up()
        text.op("load", held)
        Moves(self._setting, self._ground, by_place=False).settle(found)
