"""What programs do with tables: make a number of the board, and find a field by its place."""

import re
from collections.abc import Sequence

from budget.lowering.ground import Digit, Ground, Setting
from budget.lowering.text import NotLowered, Text
from budget.lowering.wide import Wide
from budget.packed import Packed

MOST_ADDED = 4
"""How often a number is added to itself one after the other; beyond, a loop does it."""


def board_number(setting: Setting, ground: Ground, numbering: int, *, signed: bool = False) -> Wide:
    """The number of the board, worked out by a subroutine.  Raises NotLowered where it is not made of digits."""
    if numbering:
        raise NotLowered("the cells of its boards do not tell them apart")
    text, digits = setting.text, ground.digits()
    most = 1
    for digit in digits:
        most *= digit.base
    number = Wide(text, "number", most - 1, signed=signed)
    _Numbering(setting, digits, number).write()
    return number


def in_a_row(digits: Sequence[Digit]) -> tuple[str, int] | None:
    """The label and the offset of the first word, if all digits have the same base and lie one after the other."""
    parts = [re.fullmatch(r"(\w+?)(?:\+(\d+))?", digit.word) for digit in digits]
    if len(digits) < 2 or None in parts or len({digit.base for digit in digits}) > 1:
        return None
    places = [(part[1], int(part[2] or 0)) for part in parts if part]
    label, first = places[0]
    return (label, first) if places == [(label, first + place) for place in range(len(digits))] else None


class _Numbering:
    """Digit by digit, the highest first: the number times the base, and the digit."""

    def __init__(self, setting: Setting, digits: Sequence[Digit], number: Wide) -> None:
        self._text = setting.text
        self._digits = digits
        self._number = number

    def write(self) -> None:
        text, row = self._text, in_a_row(self._digits)
        text.remark("the number of the board")
        self._number.clear()
        if row is None:
            for digit in reversed(self._digits):
                text.op("load", digit.word)
                self._step(digit.base)
            return
        label, first = row
        text.needs(-len(self._digits), len(self._digits), "the count of a board's digits")
        at, again = text.variable("digit"), text.fresh("digit_")
        text.number(-len(self._digits))
        text.ops(f"store {at}", f"{again}:", f"load {at}", "negate")
        text.op("look", f"{label}+{first - 1}" if first else f"{label}-1")
        self._step(self._digits[0].base)
        text.ops(f"count {at}", f"ifnonzero {again}")

    def _step(self, base: int) -> None:
        """The number becomes itself times a base and the digit in A."""
        text, number = self._text, self._number
        if number.count == 1 and base <= MOST_ADDED:
            for _ in range(base):
                text.op("add", number.words[0])
            text.op("store", number.words[0])
            return
        text.routine(f"digit_of_{base}", lambda: self._write_step(base))

    def _write_step(self, base: int) -> None:
        text, number = self._text, self._number
        total = Wide(text, "sum", (1 << text.word_bits * number.count) - 1)
        text.op("store", total.words[0])
        if total.count > 1:
            text.number(0)
            for word in total.words[1:]:
                text.op("store", word)
        if base <= MOST_ADDED:
            for _ in range(base):
                text.routine("add_number", lambda: self._write_sum(total))
        else:
            text.needs(-base, base, "the base of a board's digit")
            again, times = text.fresh("times"), text.variable("times")
            text.number(-base)
            text.ops(f"store {times}", f"{again}:")
            total.add(number)
            text.ops(f"count {times}", f"ifnonzero {again}")
        number.become(total)
        text.op("back")

    def _write_sum(self, total: Wide) -> None:
        total.add(self._number)
        self._text.op("back")


class Stored:
    """A column of a table in a program."""

    def __init__(self, text: Text, name: str, packed: Packed, column: int, remark: str = "") -> None:
        self._text = text
        self.run = packed.run(column)
        self.name = text.table(text.fresh(name), packed.words_of(column), remark) if self.run.words else name

    @property
    def has_several(self) -> bool:
        """Whether a word holds several numbers."""
        return self.run.fields.per_word > 1 and self.run.words > 0

    def at(self, place: Wide) -> None:
        """A becomes the number at a place, which is kept."""
        if place.count == 1 and not self.has_several:
            self.fetch(place)
            return
        self.fetch(self._copy(place))

    def part_at(self, place: Wide, part: int) -> None:
        """A becomes one word of the number at a place, which is kept, where each has a word or several."""
        table = f"{self.name}+{part * self.run.total}" if part else self.name
        if place.count == 1:
            place.index(table)
            return
        self._copy(place).index(table)

    def _copy(self, place: Wide) -> Wide:
        name = "place" if place.count == 1 else f"place_in_{place.count}"
        copy = Wide(self._text, name, place.most, signed=place.signed)
        copy.become(place)
        return copy

    def fetch(self, place: Wide) -> None:
        """A becomes the number at a place; the place is lost."""
        text, run = self._text, self.run
        if run.fields.words_each > 1:
            raise NotLowered("a move takes more than one word")
        if not run.words:
            text.number(0)
        elif self.has_several:
            self._fetch_one_of_several(place)
        else:
            place.index(self.name)

    def _fetch_one_of_several(self, place: Wide) -> None:
        """Take the count of words away until that no longer goes: what is left is the word; how often is the place."""
        text, run = self._text, self.run
        rows, bits = run.words, run.bits
        shift, again, there = text.variable("shift"), text.fresh("part"), text.fresh("there")
        text.number(0)
        text.ops(f"store {shift}", f"{again}:")
        if place.count == 1:
            text.needs(-rows, place.most, "a place in the table")
            text.op("load", place.words[0])
            text.plus(-rows)
            text.ops(f"ifminus {there}", f"store {place.words[0]}")
        else:
            place.minus(rows)
            text.op("ifminus", there)
        text.op("load", shift)
        text.plus(bits)
        text.ops(f"store {shift}", f"jump {again}", f"{there}:")
        if place.count == 1:
            text.op("look", f"{self.name}+{rows}")
        else:
            place.index(f"{self.name}+{rows}")
        text.ops(f"by {shift}", "right 0")
        self.cut(run.fields.per_word * bits)

    def cut(self, shown: int) -> None:
        """Leave of A only the bits of one number, of so many that a word holds."""
        if shown > self.run.bits:
            self._text.op("and", f"={(1 << self.run.bits) - 1}")
