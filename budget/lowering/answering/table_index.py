"""A dense table in a program: the number of the board leads to the field."""

from budget.lowering.answering.table_moves import Moves
from budget.lowering.answering.table_words import BoardNumber, Stored
from budget.lowering.ground import Ground, Setting
from budget.packed import Packed


class Indexed:
    """The field of the board's number, less the least."""

    def __init__(self, setting: Setting, ground: Ground, packed: Packed) -> None:
        known = packed.constants
        several = packed.run(0).fields.per_word > 1
        self._text = setting.text
        self._packed = packed
        self._least = known["least"]
        self._number = BoardNumber(setting, ground, known["numbering"], signed=several)
        self._moves = Moves(setting, ground, bool(known["by place"]))

    def answer(self, found: str) -> None:
        """The field, and from it the move."""
        stored = Stored(self._text, "answers", self._packed, 0)
        if stored.run.words:
            number = self._number.write()
            number.minus(self._least)
            stored.fetch(number)
        else:
            self._text.number(0)
        self._moves.settle(found)
