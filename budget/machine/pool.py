"""The pool: constants that instructions ask for by their value, each stored once."""

from collections.abc import Iterator, Sequence

from budget.card import CostCard
from budget.machine.names import Names
from budget.machine.orders import Operand
from budget.machine.source import Expression, Statement

Key = int | tuple[Operand, str]
"""What makes two constants one: their value, or their wording where it depends on where things lie."""


class Pool:
    """The constants of a program, in the order in which they were first asked for.

    They lie from `address` on, unless `moved` gives the address of each.
    """

    def __init__(self, names: Names, card: CostCard, source: Sequence[str]) -> None:
        self.address = 0
        self.moved: list[int] = []
        self._names = names
        self._word_bits = card.word_bits
        self._source = source
        self._numbers: dict[Key, int] = {}
        self._constants: list[tuple[Expression, Operand, str]] = []

    def __len__(self) -> int:
        return len(self._constants)

    def add(self, statement: Statement, unit: Operand) -> None:
        """Make sure that a statement's operand is among the constants, labels counted as the unit says."""
        key = self._key(statement, unit)
        if key not in self._numbers:
            self._numbers[key] = len(self._constants)
            self._constants.append((statement.operands[0], unit, self._written(statement)))

    def address_of(self, statement: Statement, unit: Operand) -> int:
        """Where the constant lies that a statement has asked for."""
        number = self.number_of(statement, unit)
        return self.moved[number] if self.moved else self.address + number

    def number_of(self, statement: Statement, unit: Operand) -> int:
        """Which of the constants it is that a statement has asked for."""
        return self._numbers[self._key(statement, unit)]

    def values(self) -> Iterator[tuple[int, int, str]]:
        """The address of every constant, its value, and how it was first written."""
        addresses = self.moved or range(self.address, self.address + len(self))
        for address, (expression, unit, text) in zip(addresses, self._constants, strict=True):
            yield address, self._names.value(expression, unit), text

    def _key(self, statement: Statement, unit: Operand) -> Key:
        expression = statement.operands[0]
        if self._names.depends_on_places(expression):
            return unit, "".join(self._written(statement).split())
        return self._names.value(expression, unit) % (1 << self._word_bits)

    def _written(self, statement: Statement) -> str:
        """The operand as it is written, without the mark before it and the remark after it."""
        text = self._source[statement.line - 1][statement.column - 1 :]
        return text.partition("#")[0].lstrip("=!").strip()
