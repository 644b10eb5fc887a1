"""A reply tree in a program: it keeps its place, and passes over branches by counting."""

from budget.lowering.answering.table_moves import Moves
from budget.lowering.answering.table_words import BoardNumber, Stored
from budget.lowering.ground import Ground, Setting
from budget.lowering.text import NotLowered
from budget.lowering.wide import Wide
from budget.packed import Packed
from games.codes import FIRST


class _Tree:
    """Answers, each with a label and with how many branches follow."""

    def __init__(self, setting: Setting, ground: Ground, packed: Packed) -> None:
        text = setting.text
        self._setting = setting
        self._ground = ground
        self._text = text
        self._packed = packed
        self._columns = len(packed.columns)
        self._label = packed.constants["label"]
        several = any(packed.run(column).fields.per_word > 1 for column in range(self._columns))
        self._at = Wide(text, "branch", packed.columns[0][1], signed=several)

    def set_up(self) -> None:
        """The first answer."""
        self._at.clear()

    def _seek(self, label: str, found: str) -> None:
        """Pass over branches until an answer has the label whose word is named."""
        text, known, bits = self._text, self._packed.constants, self._text.word_bits
        names = ("tree", "branches") if self._columns < 3 else ("led_to_by", "answers", "branches")
        columns = [Stored(text, names[at], self._packed, at) for at in range(self._columns)]
        labels, counts = columns[0], columns[-1]
        longest = known["most"] * self._setting.moves
        text.needs(-longest - 1, longest, "how many branches are still to be passed over")
        again, hit, skip = text.fresh("branch_"), text.fresh("hit"), text.fresh("skip")
        open_ = text.variable("open", remark="branches still to be passed over, negative")
        text.label(again)
        labels.at(self._at)
        text.op("subtract", label)
        if self._label < bits:
            text.op("left", bits - self._label)
        text.op("ifzero", hit)
        text.number(-1)
        text.ops(f"store {open_}", f"{skip}:")
        counts.at(self._at)
        if self._columns == 1:
            text.op("right", self._label + known["move"])
        text.ops("negate", f"add {open_}")
        text.plus(1)
        text.op("store", open_)
        self._at.up()
        text.ops(f"load {open_}", f"ifnonzero {skip}", f"jump {again}", f"{hit}:")
        self._move(columns)
        held = text.variable("held")
        text.op("store", held)
        self._at.up()
        text.op("load", held)
        Moves(self._setting, self._ground, by_place=False).settle(found)

    def _move(self, columns: list[Stored]) -> None:
        """A becomes the machine's move in the answer."""
        if self._columns == 3:
            columns[1].at(self._at)
            return
        columns[0].at(self._at)
        self._text.op("right", self._label)
        if self._columns == 1:
            self._text.op("and", f"={(1 << self._packed.constants['move']) - 1}")


class Counted(_Tree):
    """A tree whose answers say by which move of the visitor's they are reached."""

    def __init__(self, setting: Setting, ground: Ground, packed: Packed) -> None:
        super().__init__(setting, ground, packed)
        self._via = setting.text.variable("led_by", remark="the visitor's last move")

    def set_up(self) -> None:
        """The first answer; if it is not to a move, there is none."""
        super().set_up()
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
        self._seek(self._via, found)


class CountedTurned(_Tree):
    """A tree along least images, whose answers say how their board's number ends: the board alone says it."""

    def __init__(self, setting: Setting, ground: Ground, packed: Packed) -> None:
        super().__init__(setting, ground, packed)
        if self._label > setting.text.word_bits:
            raise NotLowered("a word does not hold the end of a board's number that tells the branches apart")
        self._number = BoardNumber(setting, ground, packed.constants["numbering"])

    def turn_lost(self) -> None:
        """Nothing."""

    def visitor_moves(self) -> None:
        """Nothing."""

    def answer(self, found: str) -> None:
        """Pass over branches until one is reached whose board may be this one."""
        self._seek(self._number.write().words[0], found)
