"""What programs do with tables: make a number of the board, and find a field by its place."""

import re
from collections.abc import Sequence
from math import prod

from budget.lowering.ground import Digit, Ground, Setting
from budget.lowering.text import NotLowered, Text
from budget.lowering.wide import Wide
from budget.packed import Packed

MOST_ADDED = 4
"""How often a number is added to itself one after the other; beyond, a loop does it."""


def row_of(digits: Sequence[Digit]) -> str | None:
    """The first word of digits that lie one after the other; None if they do not."""
    parts = [re.fullmatch(r"(\w+?)(?:\+(\d+))?", digit.word) for digit in digits]
    places = [(part[1], int(part[2] or 0)) for part in parts if part]
    label, first = places[0]
    in_a_row = places == [(label, first + place) for place in range(len(digits))]
    return digits[0].word if in_a_row else None


class BoardNumber:
    """The number of the board in a program.  Raises NotLowered where a board is not made of digits."""

    def __init__(self, setting: Setting, ground: Ground, numbering: int, *, signed: bool = False) -> None:
        if numbering:
            raise NotLowered("the cells of its boards do not tell them apart")
        self._text = setting.text
        self._digits = ground.digits()
        most = prod(digit.base for digit in self._digits) - 1
        self.number = Wide(setting.text, "number", most, signed=signed)

    def write(self) -> Wide:
        """Work it out."""
        kind = "signed" if self.number.signed else "plain"
        self._text.routine(f"number_{kind}", self._write_routine)
        return self.number

    def _write_routine(self) -> None:
        """Digit by digit, the highest first: the number times the base, and the digit."""
        text, digits = self._text, self._digits
        text.remark("the number of the board")
        self.number.clear()
        row, bases = row_of(digits), {digit.base for digit in digits}
        if row is None or len(bases) > 1 or len(digits) == 1:
            for digit in reversed(digits):
                text.op("load", digit.word)
                self._step(digit.base)
            text.op("back")
            return
        text.needs(-len(digits), len(digits), "the count of a board's digits")
        at, again = text.variable("digit"), text.fresh("digit_")
        text.number(-len(digits))
        text.ops(f"store {at}", f"{again}:", f"load {at}", "negate", f"look {row}-1")
        self._step(bases.pop())
        text.ops(f"count {at}", f"ifnonzero {again}", "back")

    def _step(self, base: int) -> None:
        """The number becomes itself times a base and the digit in A."""
        text, number = self._text, self.number
        if number.count == 1 and base <= MOST_ADDED:
            for _ in range(base):
                text.op("add", number.words[0])
            text.op("store", number.words[0])
            return
        text.routine(f"digit_of_{base}", lambda: self._write_step(base))

    def _write_step(self, base: int) -> None:
        text, number = self._text, self.number
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
        total.add(self.number)
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
        copy = Wide(self._text, "place", place.most, signed=place.signed)
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
