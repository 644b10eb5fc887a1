"""Packed pictures in a program: it goes through the row until all that a picture asks for is so."""

from budget.lowering.answering.table_words import Stored, row_of
from budget.lowering.ground import Ground, Setting
from budget.lowering.text import NotLowered, WrongWay
from budget.lowering.wide import Wide
from budget.packed import Packed


class Pictured:
    """The move of the first picture that fits."""

    def __init__(self, setting: Setting, ground: Ground, packed: Packed) -> None:
        self._setting = setting
        self._ground = ground
        self._text = setting.text
        self._packed = packed
        self._row = row_of(ground.digits())
        if self._row is None:
            raise NotLowered("the words of its board do not lie one after the other")
        if packed.columns[0][0] >= setting.text.word_bits:
            raise WrongWay("a word does not hold a digit with its value")

    def answer(self, found: str) -> None:
        """Through the row from its begin."""
        text, known = self._text, self._packed.constants
        row = Stored(text, "pictures", self._packed, 0)
        at = Wide(text, "picture", row.run.total, signed=row.has_several)
        first_move, value_bits = known["digits"] << known["value bits"], known["value bits"]
        again, skip = text.fresh("picture_"), text.fresh("no_picture")
        asked, move = text.variable("asked"), text.fresh("its_move")
        at.clear()
        text.op("jump", again)
        text.label(skip)  # to the end of a picture that does not fit
        self._next(row, at)
        text.plus(-first_move)
        text.op("ifminus", skip)
        text.label(again)
        self._next(row, at)
        text.plus(-first_move)
        text.op("ifminus", move)
        text.plus(-self._setting.moves)
        text.op("store", "move")
        self._ground.unless_can(again)
        text.ops(f"jump {found}", f"{move}:")
        text.plus(first_move)
        text.ops(f"store {asked}", f"right {value_bits}", f"look {self._row}", "negate", f"add {asked}")
        text.op("and", f"={(1 << value_bits) - 1}")
        text.ops(f"ifzero {again}", f"jump {skip}")

    def _next(self, row: Stored, at: Wide) -> None:
        """A becomes the next number of the row."""
        self._text.routine("next_of_picture", lambda: self._write_next(row, at))

    def _write_next(self, row: Stored, at: Wide) -> None:
        """The number at the place, which goes on by one."""
        text, held = self._text, self._text.variable("held_there")
        row.at(at)
        text.op("store", held)
        at.up()
        text.ops(f"load {held}", "back")
