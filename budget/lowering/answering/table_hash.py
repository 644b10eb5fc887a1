"""A hash without keys in a program: digit by digit to a row and a column, and these lead to a slot."""

from budget.hashing import Hash
from budget.lowering.answering.table_moves import Moves
from budget.lowering.answering.table_words import Stored, row_of
from budget.lowering.ground import Ground, Setting
from budget.lowering.text import WrongWay
from budget.lowering.wide import Wide
from budget.packed import Packed


class Hashed:
    """The slot to which the board's row and column lead."""

    def __init__(self, setting: Setting, ground: Ground, packed: Packed, hash_: Hash) -> None:
        if hash_.bits > setting.text.word_bits:
            raise WrongWay("a word does not hold the hash")
        if packed.columns[0][0] > setting.text.word_bits:
            raise WrongWay("a word does not hold the shift of a row")
        self._text = setting.text
        self._packed = packed
        self._hash = hash_
        self._digits = ground.digits()
        self._moves = Moves(setting, ground, bool(packed.constants["by place"]))

    def answer(self, found: str) -> None:
        """The slot, and from it the move."""
        text, hash_ = self._text, self._hash
        names = [text.variable(f"hash{place}") for place in range(len(hash_.shifts))]
        self._mix(names)
        shifts, slots = (
            Stored(text, name, self._packed, place) for place, name in enumerate(("rows", "slots"))
        )
        place = Wide(text, "slot", slots.run.total - 1, signed=slots.has_several)
        if shifts.run.words:
            row = Wide(text, "row", shifts.run.total - 1, signed=shifts.has_several)
            self._cut(names[0], hash_.beside_row, hash_.row_bits)
            text.op("store", row.words[0])
            for word in row.words[1:]:
                text.number(0)
                text.op("store", word)
            shifts.fetch(row)
        else:
            text.number(0)
        text.op("store", place.words[0])
        self._cut(names[-1], hash_.beside_column, hash_.column_bits)
        text.ops(f"add {place.words[0]}", f"store {place.words[0]}")
        if place.count > 1:
            text.ops("carry", f"store {place.words[1]}")
        for word in place.words[2:]:
            text.number(0)
            text.op("store", word)
        slots.fetch(place)
        self._moves.settle(found)

    def _cut(self, name: str, below: int, bits: int) -> None:
        """A becomes so many bits of a hash, those above some that are cut off."""
        self._text.op("load", name)
        if below:
            self._text.op("right", below)
        if bits < self._text.word_bits - below:
            self._text.op("and", f"={(1 << bits) - 1}")

    def _mix(self, names: list[str]) -> None:
        """The hashes of all digits, the first digit first."""
        text, digits = self._text, self._digits
        text.number(0)
        for name in names:
            text.op("store", name)
        row = row_of(digits)
        if row is None or len(digits) == 1:
            for digit in digits:
                text.op("load", digit.word)
                text.routine("mix", lambda: self._write_mix(names))
            return
        at, again = text.variable("digit"), text.fresh("mixed")
        text.needs(-len(digits), 0, "the count of a board's digits")
        text.number(-len(digits))
        text.ops(f"store {at}", f"{again}:")
        for name, (shift, sign) in zip(names, self._hash.shifts, strict=True):
            self._step(name, shift, sign)
            text.ops(f"by {at}", f"add {row}+{len(digits)}", f"store {name}")
        text.ops(f"count {at}", f"ifnonzero {again}")

    def _step(self, name: str, shift: int, sign: int) -> None:
        self._text.ops(f"load {name}", f"left {shift}")
        if sign:
            self._text.op("add" if sign > 0 else "subtract", name)

    def _write_mix(self, names: list[str]) -> None:
        """Bring the digit in A in."""
        text, added = self._text, self._text.variable("added")
        text.op("store", added)
        for name, (shift, sign) in zip(names, self._hash.shifts, strict=True):
            self._step(name, shift, sign)
            text.ops(f"add {added}", f"store {name}")
        text.op("back")
