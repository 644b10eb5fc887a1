"""What orders do in the words of Python, for functions that are made of them.

What is made is written by us from a tree that has been checked; nothing of a sheet's text gets into it but the names
of registers, which are turned into numbers.
"""

from collections.abc import Iterator
from typing import NamedTuple

from budget.target.effect import (
    ADDRESS,
    KEY,
    NUMBER,
    PLACE,
    Both,
    Compare,
    Expression,
    Flag,
    Joined,
    Not,
    Number,
    Set,
    Statement,
    Symbol,
    When,
    Word,
)
from budget.target.sheet import Decoded, Sheet

MARKS = {"+": "+", "-": "-", "and": "&", "or": "|", "xor": "^", "<<": "<<", ">>": ">>"}
COMPARES = {"=": "==", "<>": "!=", "<": "<", ">": ">"}
LONGEST_CODE = 8
"""Bits of the longest code of a key."""


class Width(NamedTuple):
    """How large a number can be: below 2 to the power of `bits`; not below 0 unless it is signed."""

    bits: int
    is_signed: bool


class Phrases:
    """Writes the parts of functions in which `r` has the registers and `e` the address on which an order works.

    word, key: what stands there for a word of the store, with {} for its address, and for the code of the key.
    `next_place`, `after_next` are of the order that is being written; `begin` says which.
    """

    def __init__(self, sheet: Sheet, word: str, key: str) -> None:
        self._sheet = sheet
        self._names = list(sheet.registers)
        self._word, self._key = word, key
        self.next_place = self.after_next = self._number = 0

    def begin(self, decoded: Decoded, place: int) -> None:
        """Write about this order at this place from now on."""
        size = 1 << self._sheet.address_bits
        self.next_place, self.after_next = (place + 1) % size, (place + 2) % size
        self._number = decoded.number

    # -- numbers ------------------------------------------------------------------------------

    def value(self, value: Expression) -> str:
        """A number."""
        match value:
            case Number(number):
                return str(number)
            case Symbol(name):
                known = {PLACE: str(self.next_place), ADDRESS: "e", NUMBER: str(self._number), KEY: self._key}
                return known.get(name) or self.register(name)
            case Joined(names):
                return self._joined(names)
            case Word(address):
                return self._word.format(self.address(address))
            case Not(inner):
                return f"(~{self.value(inner)} & {(1 << self._sheet.word_bits) - 1})"
            case Both(mark, left, right):
                return f"({self.value(left)} {MARKS[mark]} {self.value(right)})"

    def cut(self, value: Expression, bits: int) -> str:
        """A number without its bits above so many."""
        width = self.width(value)
        fits = width.bits <= bits and not width.is_signed
        return self.value(value) if fits else f"({self.value(value)} & {(1 << bits) - 1})"

    def word(self, value: Expression) -> str:
        """A number that is to be a word."""
        return self.cut(value, self._sheet.word_bits)

    def address(self, value: Expression) -> str:
        """A number that is to be an address."""
        return self.cut(value, self._sheet.address_bits)

    def register(self, name: str) -> str:
        """A register."""
        return f"r[{self._names.index(name)}]"

    def _joined(self, names: tuple[str, ...]) -> str:
        parts = []
        shift = 0
        for name in reversed(names):
            parts.append(f"{self.register(name)} << {shift}" if shift else self.register(name))
            shift += self._sheet.registers[name]
        return f"({' | '.join(reversed(parts))})"

    def width(self, value: Expression) -> Width:
        """How large a number can be."""
        registers, sheet = self._sheet.registers, self._sheet
        match value:
            case Number(number):
                return Width(number.bit_length(), is_signed=False)
            case Symbol(name):
                other = LONGEST_CODE if name == KEY else max(sheet.address_bits, sheet.word_bits)
                return Width(registers.get(name, other), is_signed=False)
            case Joined(names):
                return Width(sum(registers[name] for name in names), is_signed=False)
            case Word() | Not():
                return Width(sheet.word_bits, is_signed=False)
            case Both():
                return self._width_of_both(value)

    def _width_of_both(self, value: Both) -> Width:
        left, right = self.width(value.left), self.width(value.right)
        is_signed = left.is_signed or right.is_signed
        bits = max(left.bits, right.bits)
        match value.mark:
            case "<<" | ">>":
                assert isinstance(value.right, Number)
                by = value.right.value
                return Width(
                    left.bits + by if value.mark == "<<" else max(left.bits - by, 0), is_signed=left.is_signed
                )
            case "+":
                return Width(bits + 1, is_signed=is_signed)
            case "-":
                return Width(bits + 1, is_signed=True)
            case _:
                return Width(bits, is_signed=is_signed)

    def widest(self, value: Expression) -> int:
        """Bits of the largest number on the way to a number."""
        match value:
            case Word(inner) | Not(inner):
                return max(self.width(value).bits, self.widest(inner))
            case Both(_, left, right):
                return max(self.width(value).bits, self.widest(left), self.widest(right))
            case _:
                return self.width(value).bits

    # -- statements ---------------------------------------------------------------------------

    def set_registers(self, statement: Set) -> list[str]:
        """Lines in which registers become a number."""
        registers = self._sheet.registers
        if len(statement.names) == 1:
            name = statement.names[0]
            return [f"{self.register(name)} = {self.cut(statement.value, registers[name])}"]
        lines = [f"x = {self.value(statement.value)}"]
        shift = 0
        for name in reversed(statement.names):
            value = f"x >> {shift}" if shift else "x"
            lines.append(f"{self.register(name)} = {value} & {(1 << registers[name]) - 1}")
            shift += registers[name]
        return lines

    def compared(self, condition: Compare) -> str:
        """Whether a condition holds."""
        return f"{self.word(condition.left)} {COMPARES[condition.mark]} {self.word(condition.right)}"


def words_in(value: Expression) -> Iterator[Word]:
    """The words of the store in an expression, those in others' addresses first."""
    match value:
        case Word(address):
            yield from words_in(address)
            yield value
        case Not(inner):
            yield from words_in(inner)
        case Both(_, left, right):
            yield from words_in(left)
            yield from words_in(right)
        case _:
            return


def has_key(value: Expression) -> bool:
    """Whether an expression asks for the key."""
    match value:
        case Symbol(name):
            return name == KEY
        case Word(inner) | Not(inner):
            return has_key(inner)
        case Both(_, left, right):
            return has_key(left) or has_key(right)
        case _:
            return False


def asks_typed(statement: Statement) -> bool:
    """Whether a statement asks if a key was pressed."""
    return isinstance(statement, When) and statement.condition == Flag("typed")
