"""A decoded order as a Python function: what an order does is worked out once, and then only obeyed.

What is compiled is written by us from a tree that has been checked; nothing of a sheet's text gets into it but the
names of registers, which are turned into numbers.
"""

from collections.abc import Callable
from typing import Any

from budget.machine.layout import Fault, NoSuchAddress
from budget.target.effect import (
    ADDRESS,
    KEY,
    NUMBER,
    PLACE,
    Act,
    Both,
    Condition,
    Expression,
    Flag,
    Joined,
    Not,
    Number,
    Put,
    Set,
    Statement,
    Symbol,
    When,
    Word,
)
from budget.target.sheet import Decoded, Sheet

Obey = Callable[[], int]
"""Obeys an order, and gives the place of the next."""
MARKS = {"+": "+", "-": "-", "and": "&", "or": "|", "xor": "^", "<<": "<<", ">>": ">>"}
COMPARES = {"=": "==", "<>": "!=", "<": "<", ">": ">"}


class Compiler:
    """Makes functions of orders, for one machine: `machine` has its store, registers and channels."""

    def __init__(self, sheet: Sheet, store_words: int, first_fixed: int, machine: Any) -> None:
        self._sheet = sheet
        self._names = list(sheet.registers)
        self._word_mask = (1 << sheet.word_bits) - 1
        self._address_mask = (1 << sheet.address_bits) - 1
        self._store_words = store_words
        self._is_whole = store_words == 1 << sheet.address_bits
        self._first_fixed = first_fixed
        self._has_fixed = first_fixed < store_words
        self._machine = machine

    def compile(self, decoded: Decoded, place: int) -> Obey:
        """The function that obeys an order at a place."""
        lines = ["def obey():"]
        self._next = place + 1 & self._address_mask
        self._after_next = place + 2 & self._address_mask
        self._number = decoded.number
        if any(_asks_typed(statement) for statement in decoded.effect):
            lines.append("    m.await_key()")
        if decoded.has_address:
            lines += self._address(decoded)
        lines.append(f"    p = {self._next}")
        for statement in decoded.effect:
            lines += [f"    {line}" for line in self._statement(statement)]
        lines.append("    return p")
        machine = self._machine
        scope: dict[str, Any] = {
            "m": machine,
            "r": machine.registers,
            "s": machine.store,
            "touched": machine.touched,
            "written": machine.written,
            "Fault": Fault,
            "NoSuchAddress": NoSuchAddress,
        }
        exec(compile("\n".join(lines), "<order>", "exec"), scope)  # noqa: S102 - the text is our own, see above
        obey: Obey = scope["obey"]
        return obey

    def _address(self, decoded: Decoded) -> list[str]:
        """Lines that work out the address `e` on which an order works."""
        address = decoded.address
        if not decoded.is_indirect:
            return [f"    e = {address}"]
        lines = self._checked(str(address))
        stepping = self._sheet.stepping
        if stepping and stepping[0] <= address <= stepping[1]:
            lines += self._writable(str(address))
            lines.append(f"    s[{address}] = s[{address}] + 1 & {self._word_mask}")
            lines.append(f"    written.add({address})")
        lines.append(f"    touched.add({address})")
        return [*lines, f"    e = s[{address}] & {self._address_mask}"]

    def _checked(self, address: str) -> list[str]:
        """Lines that stop the machine where there is no such word."""
        if self._is_whole:
            return []
        return [f"    if {address} >= {self._store_words}: raise NoSuchAddress({address})"]

    def _writable(self, address: str) -> list[str]:
        if not self._has_fixed:
            return []
        return [f"    if {address} >= {self._first_fixed}: raise Fault(f'fixed store: {{{address}}}')"]

    # -- statements ---------------------------------------------------------------------------

    def _statement(self, statement: Statement) -> list[str]:
        if isinstance(statement, Set):
            return self._set(statement)
        if isinstance(statement, Put):
            lines = [*self._reads(statement.value), f"x = {self._value(statement.value)} & {self._word_mask}"]
            lines.append(f"t = {self._value(statement.address)} & {self._address_mask}")
            lines += [line.strip() for line in (*self._checked("t"), *self._writable("t"))]
            return [*lines, "s[t] = x", "touched.add(t)", "written.add(t)"]
        if isinstance(statement, When):
            then = [f"    {line}" for line in self._statement(statement.then)]
            reads = self._reads_in(statement.condition)
            return [*reads, f"if {self._condition(statement.condition)}:", *then]
        return self._act(statement)

    def _set(self, statement: Set) -> list[str]:
        lines = self._reads(statement.value)
        value = self._value(statement.value)
        if statement.names == (PLACE,):
            return [*lines, f"p = {value} & {self._address_mask}"]
        if len(statement.names) == 1:
            return [
                *lines,
                f"{self._register(statement.names[0])} = {value} & {self._size(statement.names[0])}",
            ]
        lines.append(f"x = {value}")
        shift = 0
        for name in reversed(statement.names):
            lines.append(f"{self._register(name)} = x >> {shift} & {self._size(name)}")
            shift += self._sheet.registers[name]
        return lines

    def _act(self, act: Act) -> list[str]:
        if act.name == "print":
            assert not isinstance(act.value, Flag | None)
            return [*self._reads(act.value), f"m.send({self._value(act.value)})"]
        if act.name == "forget":
            assert isinstance(act.value, Flag)
            return [f"m.{act.value.name} = False"]
        return [
            {"skip": f"p = {self._after_next}", "stay": f"p = {self._next}", "halt": "m.halt()"}[act.name]
        ]

    def _condition(self, condition: Condition) -> str:
        if isinstance(condition, Flag):
            return "m.await_key()" if condition.name == "typed" else "m.await_printer()"
        mask = self._word_mask
        left, right = self._value(condition.left), self._value(condition.right)
        return f"({left} & {mask}) {COMPARES[condition.mark]} ({right} & {mask})"

    # -- expressions --------------------------------------------------------------------------

    def _register(self, name: str) -> str:
        return f"r[{self._names.index(name)}]"

    def _size(self, name: str) -> int:
        return (1 << self._sheet.registers[name]) - 1

    def _value(self, value: Expression) -> str:
        if isinstance(value, Number):
            return str(value.value)
        if isinstance(value, Symbol):
            known = {PLACE: str(self._next), ADDRESS: "e", NUMBER: str(self._number), KEY: "m.read_key()"}
            return known.get(value.name) or self._register(value.name)
        if isinstance(value, Joined):
            return self._joined(value)
        if isinstance(value, Word):
            return f"s[{self._value(value.address)} & {self._address_mask}]"
        if isinstance(value, Not):
            return f"(~{self._value(value.inner)} & {self._word_mask})"
        return f"({self._value(value.left)} {MARKS[value.mark]} {self._value(value.right)})"

    def _joined(self, value: Joined) -> str:
        parts = []
        shift = 0
        for name in reversed(value.names):
            parts.append(f"{self._register(name)} << {shift}" if shift else self._register(name))
            shift += self._sheet.registers[name]
        return f"({' | '.join(reversed(parts))})"

    def _reads_in(self, condition: Condition) -> list[str]:
        if isinstance(condition, Flag):
            return []
        return [*self._reads(condition.left), *self._reads(condition.right)]

    def _reads(self, value: Expression) -> list[str]:
        """Lines that check and note every word of the store that an expression reads."""
        if isinstance(value, Word):
            inner = self._reads(value.address)
            address = f"t = {self._value(value.address)} & {self._address_mask}"
            return [*inner, address, *(line.strip() for line in self._checked("t")), "touched.add(t)"]
        if isinstance(value, Not):
            return self._reads(value.inner)
        if isinstance(value, Both):
            return [*self._reads(value.left), *self._reads(value.right)]
        return []


def _asks_typed(statement: Statement) -> bool:
    return (
        isinstance(statement, When)
        and isinstance(statement.condition, Flag)
        and statement.condition.name == "typed"
    )
