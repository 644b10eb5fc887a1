"""A decoded order as a Python function: what an order does is worked out once, and then only obeyed."""

from collections.abc import Callable
from typing import Any

from budget.machine.layout import NoSuchAddress
from budget.target.effect import (
    PLACE,
    Act,
    Condition,
    Expression,
    Flag,
    Put,
    Set,
    Statement,
    When,
)
from budget.target.phrases import Phrases, asks_typed, words_in
from budget.target.sheet import Decoded, Sheet

Obey = Callable[[], int]
"""Obeys an order, and gives the place of the next."""


class Compiler:
    """Makes functions of orders, for one machine: `machine` has its store, registers and channels."""

    def __init__(self, sheet: Sheet, store_words: int, machine: Any) -> None:
        self._phrases = Phrases(sheet, "s[{}]", "m.read_key()")
        self._sheet = sheet
        self._word_mask = (1 << sheet.word_bits) - 1
        self._store_words = store_words
        self._is_whole = store_words == 1 << sheet.address_bits
        self._machine = machine

    def compile(self, decoded: Decoded, place: int) -> Obey:
        """The function that obeys an order at a place."""
        lines = ["def obey():"]
        self._phrases.begin(decoded, place)
        if any(asks_typed(statement) for statement in decoded.effect):
            lines.append("    m.await_key()")
        if decoded.has_address:
            lines += self._address(decoded)
        lines.append(f"    p = {self._phrases.next_place}")
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
            "NoSuchAddress": NoSuchAddress,
        }
        exec(compile("\n".join(lines), "<order>", "exec"), scope)  # noqa: S102 - our own text, see Phrases
        obey: Obey = scope["obey"]
        return obey

    def _address(self, decoded: Decoded) -> list[str]:
        """Lines that work out the address `e` on which an order works."""
        address = decoded.address
        if not decoded.is_indirect:
            return [f"    e = {address}"]
        lines = [f"    {line}" for line in self._checked(str(address))]
        stepping = self._sheet.stepping
        if stepping and stepping[0] <= address <= stepping[1]:
            lines.append(f"    s[{address}] = s[{address}] + 1 & {self._word_mask}")
            lines.append(f"    written.add({address})")
        lines.append(f"    touched.add({address})")
        return [*lines, f"    e = s[{address}] & {(1 << self._sheet.address_bits) - 1}"]

    def _checked(self, address: str) -> list[str]:
        """Lines that stop the machine where there is no such word."""
        if self._is_whole:
            return []
        return [f"if {address} >= {self._store_words}: raise NoSuchAddress({address})"]

    # -- statements ---------------------------------------------------------------------------

    def _statement(self, statement: Statement) -> list[str]:
        if isinstance(statement, Set):
            if statement.names == (PLACE,):
                return [*self._reads(statement.value), f"p = {self._phrases.address(statement.value)}"]
            return [*self._reads(statement.value), *self._phrases.set_registers(statement)]
        if isinstance(statement, Put):
            lines = [*self._reads(statement.value), f"x = {self._phrases.word(statement.value)}"]
            lines += [*self._reads(statement.address), f"t = {self._phrases.address(statement.address)}"]
            return [*lines, *self._checked("t"), "s[t] = x", "touched.add(t)", "written.add(t)"]
        if isinstance(statement, When):
            then = [f"    {line}" for line in self._statement(statement.then)]
            return [
                *self._reads_in(statement.condition),
                f"if {self._condition(statement.condition)}:",
                *then,
            ]
        return self._act(statement)

    def _act(self, act: Act) -> list[str]:
        if act.name == "print":
            assert not isinstance(act.value, Flag | None)
            return [*self._reads(act.value), f"m.send({self._phrases.value(act.value)})"]
        if act.name == "forget":
            assert isinstance(act.value, Flag)
            return [f"m.{act.value.name} = False"]
        phrases = self._phrases
        return [
            {"skip": f"p = {phrases.after_next}", "stay": f"p = {phrases.next_place}", "halt": "m.halt()"}[
                act.name
            ]
        ]

    def _condition(self, condition: Condition) -> str:
        if isinstance(condition, Flag):
            return "m.await_key()" if condition.name == "typed" else "m.await_printer()"
        return self._phrases.compared(condition)

    def _reads_in(self, condition: Condition) -> list[str]:
        if isinstance(condition, Flag):
            return []
        return [*self._reads(condition.left), *self._reads(condition.right)]

    def _reads(self, value: Expression) -> list[str]:
        """Lines that check and note every word of the store that an expression reads."""
        lines = []
        for word in words_in(value):
            lines.append(f"t = {self._phrases.address(word.address)}")
            lines += [*self._checked("t"), "touched.add(t)"]
        return lines
