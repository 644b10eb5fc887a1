"""What an order does, in a small notation: docs/order-sheets.md, "What an order does".

Read once into a tree; `budget.target.compiled` makes functions of it, `budget.target.meaning` finds out what it
depends on.
"""

import re
from collections.abc import Callable, Container
from typing import NamedTuple

PLACE = "P"
"""In an expression the place after this order; as a target where to go on."""
ADDRESS, NUMBER, KEY = "e", "n", "key"
"""The address that an order works on, the number that stands in it, and the code of the last key."""
SYMBOLS = (PLACE, ADDRESS, NUMBER, KEY)
ACTS = ("skip", "stay", "halt", "print", "forget")
"""What is done that is no assignment."""
FLAGS = ("typed", "printed")
"""A key waits to be read; the printer is ready again."""
COMPARES = ("=", "<>", "<", ">")
DEEPEST = 20
"""Brackets within one another."""
LONGEST_SHIFT = 40
_TOKEN = re.compile(
    r"\s*(?:(?P<name>[A-Za-z][A-Za-z0-9]*)|(?P<number>0o[0-7]+|\d+)|(?P<mark><<|>>|<>|[-+=<>:;.()\[\]]))"
)


class Number(NamedTuple):
    """A number."""

    value: int


class Symbol(NamedTuple):
    """A register, or one of `SYMBOLS`."""

    name: str


class Joined(NamedTuple):
    """Registers read or set as one long number, the upper first."""

    names: tuple[str, ...]


class Word(NamedTuple):
    """A word of the store."""

    address: "Expression"


class Not(NamedTuple):
    """Every bit of a word turned round."""

    inner: "Expression"


class Both(NamedTuple):
    """Two numbers and what joins them: ``+ - and or xor << >>``."""

    mark: str
    left: "Expression"
    right: "Expression"


Expression = Number | Symbol | Joined | Word | Not | Both


class Compare(NamedTuple):
    """Whether two numbers, each cut to a word, are equal, unlike, less or greater."""

    mark: str
    left: Expression
    right: Expression


class Flag(NamedTuple):
    """Whether a key was pressed, or the printer is ready."""

    name: str


Condition = Compare | Flag


class Set(NamedTuple):
    """Registers, or P, become a number; what is too long loses its upper bits."""

    names: tuple[str, ...]
    value: Expression


class Put(NamedTuple):
    """A word of the store becomes a number."""

    address: Expression
    value: Expression


class When(NamedTuple):
    """Something is done only if a condition holds."""

    condition: Condition
    then: "Statement"


class Act(NamedTuple):
    """One of `ACTS`; with what is printed, or the flag that is forgotten."""

    name: str
    value: Expression | Flag | None


Statement = Set | Put | When | Act
Effect = tuple[Statement, ...]


class Unclear(Exception):
    """An effect that cannot be read, and what was expected."""


def read_effect(text: str, registers: Container[str]) -> Effect:
    """An effect as a sheet writes it, statements after one another with ``;`` between.  Raises Unclear."""
    return _Reader(text, registers).effect()


class _Reader:
    """Reads an effect from left to right."""

    def __init__(self, text: str, registers: Container[str]) -> None:
        self._registers = registers
        self._tokens: list[tuple[str, str]] = []
        self._at = 0
        self._depth = 0
        at = 0
        while text[at:].strip():
            found = _TOKEN.match(text, at)
            if not found:
                raise Unclear(f"'{text[at:].strip()[0]}' means nothing here")
            self._tokens.append((str(found.lastgroup), found[str(found.lastgroup)]))
            at = found.end()

    def effect(self) -> Effect:
        statements = [] if not self._tokens else [self._statement()]
        while self._peek() == ";":
            self._at += 1
            statements.append(self._statement())
        if self._peek():
            raise Unclear(f"'{self._peek()}' is too much here; expected ';' or the end")
        return tuple(statements)

    def _statement(self) -> Statement:
        word = self._peek()
        if word == "if":
            self._at += 1
            condition = self._condition()
            self._take(":")
            if self._peek() == "if":
                raise Unclear("an 'if' within an 'if'; expected one condition")
            return When(condition, self._statement())
        if word in ACTS:
            self._at += 1
            if word == "print":
                return Act(word, self._expression())
            return Act(word, self._flag() if word == "forget" else None)
        if word == "S":
            address = self._word().address
            self._take("=")
            return Put(address, self._expression())
        names = self._names((PLACE,))
        self._take("=")
        return Set(names, self._expression())

    def _names(self, also: Container[str] = ()) -> tuple[str, ...]:
        """One register, or several joined by points."""
        names = [self._name(also)]
        while self._peek() == ".":
            self._at += 1
            names.append(self._name(()))
        if len(names) > 1 and PLACE in names:
            raise Unclear("'P' is joined to nothing")
        return tuple(names)

    def _name(self, also: Container[str]) -> str:
        word = self._peek()
        if word not in self._registers and word not in also:
            raise Unclear(f"expected a register, not {self._shown()}")
        self._at += 1
        return word

    def _flag(self) -> Flag:
        word = self._peek()
        if word not in FLAGS:
            raise Unclear(f"expected 'typed' or 'printed', not {self._shown()}")
        self._at += 1
        return Flag(word)

    def _condition(self) -> Condition:
        if self._peek() in FLAGS:
            return self._flag()
        left = self._expression()
        mark = self._peek()
        if mark not in COMPARES:
            raise Unclear(f"expected '=', '<>', '<' or '>', not {self._shown()}")
        self._at += 1
        return Compare(mark, left, self._expression())

    # -- expressions, loosest first -----------------------------------------------------------

    def _expression(self) -> Expression:
        return self._chain(("or", "xor"), lambda: self._chain(("and",), self._sum))

    def _sum(self) -> Expression:
        return self._chain(("+", "-"), self._shift)

    def _shift(self) -> Expression:
        value = self._factor()
        while self._peek() in ("<<", ">>"):
            mark = self._peek()
            self._at += 1
            amount = self._factor()
            if not isinstance(amount, Number) or amount.value > LONGEST_SHIFT:
                raise Unclear(f"expected to shift by a number up to {LONGEST_SHIFT}")
            value = Both(mark, value, amount)
        return value

    def _chain(self, marks: tuple[str, ...], part: Callable[[], Expression]) -> Expression:
        value = part()
        while self._peek() in marks:
            mark = self._peek()
            self._at += 1
            value = Both(mark, value, part())
        return value

    def _factor(self) -> Expression:
        self._depth += 1
        if self._depth > DEEPEST:
            raise Unclear("this is nested too deeply")
        value = self._one()
        self._depth -= 1
        return value

    def _one(self) -> Expression:
        kind, text = self._tokens[self._at] if self._at < len(self._tokens) else ("", "")
        if text == "not":
            self._at += 1
            return Not(self._factor())
        if text == "S":
            return self._word()
        if text == "(":
            self._at += 1
            value = self._expression()
            self._take(")")
            return value
        if kind == "number":
            self._at += 1
            if len(text) > 20:
                raise Unclear("this number is far too long")
            return Number(int(text, 0) if text.startswith("0o") else int(text))
        names = self._names(SYMBOLS)
        return Symbol(names[0]) if len(names) == 1 else Joined(names)

    def _word(self) -> Word:
        self._at += 1
        self._take("[")
        address = self._expression()
        self._take("]")
        return Word(address)

    # -- tokens -------------------------------------------------------------------------------

    def _peek(self) -> str:
        return self._tokens[self._at][1] if self._at < len(self._tokens) else ""

    def _shown(self) -> str:
        return f"'{self._peek()}'" if self._peek() else "the end"

    def _take(self, mark: str) -> None:
        if self._peek() != mark:
            raise Unclear(f"expected '{mark}', not {self._shown()}")
        self._at += 1
