"""Decoded orders as Python functions for many machines at once: what `budget.target.compiled` does, on arrays.

A function lets a group of machines (`g`) of a herd (`h`) obey some orders one after another, and gives the groups that
go on: None where that is the same group, whole.  All orders but the last are plain: they only change registers and
words, and cannot fail.  A condition that holds for some machines only parts the group, there and then; so there is a
function for what is left of the order after each condition.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import Any, NamedTuple

import numpy as np

from budget.target.effect import (
    ADDRESS,
    PLACE,
    Act,
    Compare,
    Condition,
    Effect,
    Expression,
    Flag,
    Put,
    Set,
    Statement,
    Symbol,
    When,
)
from budget.target.group import Group
from budget.target.phrases import Phrases, asks_typed, has_key, words_in
from budget.target.sheet import Decoded, Sheet

Onward = tuple[Group, ...] | None
Obey = Callable[[Any, Group], Onward]
NOBODY: tuple[Group, ...] = ()
WIDEST = 62
"""Bits of the largest numbers for which arrays of 64 bits do; where effects make larger ones, they hold whole numbers
of any size."""


class Standing(NamedTuple):
    """An order, and the place where it stands."""

    place: int
    order: Decoded


class Lockstep:
    """Makes functions of orders, for herds of machines with stores of so many words.

    number_type: what arrays of registers and words hold.
    """

    def __init__(self, sheet: Sheet, store_words: int) -> None:
        self._phrases = Phrases(sheet, "h.read(g, {})", f"r[{len(sheet.registers)}]")
        self._sheet = sheet
        self._store_words = store_words
        self._is_whole = store_words == 1 << sheet.address_bits
        numbers = (each for order in sheet.orders for each in _numbers(order.effect))
        widest = max(map(self._phrases.widest, numbers), default=0)
        self.number_type: np.dtype[Any] = np.dtype(np.int64 if widest <= WIDEST else np.object_)

    # -- which orders can be put together -----------------------------------------------------

    def is_plain(self, order: Decoded) -> bool:
        """Whether an order only changes registers and a word that we know, and cannot fail."""
        if order.is_indirect and (not self._is_whole or self._is_stepping(order) or _puts(order.effect)):
            return False
        if order.has_address and not order.is_indirect and order.address >= self._store_words:
            return False
        return all(self._is_plain(statement) for statement in order.effect)

    def _is_plain(self, statement: Statement) -> bool:
        if isinstance(statement, Set):
            is_known = statement.names != (PLACE,)
        else:
            is_known = isinstance(statement, Put) and statement.address == Symbol(ADDRESS)
        if not is_known or not isinstance(statement, Set | Put) or has_key(statement.value):
            return False
        return self._is_whole or all(word.address == Symbol(ADDRESS) for word in words_in(statement.value))

    def _is_stepping(self, order: Decoded) -> bool:
        stepping = self._sheet.stepping
        return order.is_indirect and bool(stepping and stepping[0] <= order.address <= stepping[1])

    # -- functions ----------------------------------------------------------------------------

    def compile(self, standing: Sequence[Standing]) -> Obey:
        """The function that obeys some orders which follow one another, all but the last of them plain."""
        before = ["r = g.registers"]
        for place, order in standing[:-1]:
            self._begin(order, place)
            before += self._address()
            for statement in order.effect:
                before += self._statement(statement)
        place, order = standing[-1]
        self._begin(order, place)
        before += [f"g.place = {self._phrases.next_place}"]
        if any(asks_typed(statement) for statement in order.effect):
            before += self._key_awaited()
        before += self._address()
        if order.is_indirect:
            before.append("g.address = e")
        text = "\n".join([*self._function("obey_0", before, 0), *self._after_conditions()])
        scope: dict[str, Any] = {"ndarray": np.ndarray, "NOBODY": NOBODY}
        exec(compile(text, "<orders>", "exec"), scope)  # noqa: S102 - our own text, see Phrases
        obey: Obey = scope["obey_0"]
        return obey

    def _begin(self, order: Decoded, place: int) -> None:
        self._phrases.begin(order, place)
        self._order, self._place = order, place

    def _after_conditions(self) -> Iterator[str]:
        """The functions for machines that part at a condition: what it asks for and the rest, and the rest alone."""
        for number, statement in enumerate(self._order.effect):
            if isinstance(statement, When) and isinstance(statement.condition, Compare):
                then = [*self._anew(), *self._statement(statement.then)]
                yield from self._function(f"then_{number}", then, number + 1)
                yield from self._function(f"obey_{number + 1}", self._anew(), number + 1)

    def _anew(self) -> list[str]:
        """Lines that take up what may no longer be as it was: the group is another, or has lost some machines."""
        order = self._order
        address = "g.address" if order.is_indirect else str(order.address)
        return ["r = g.registers", *([f"e = {address}"] if order.has_address else [])]

    def _function(self, name: str, before: Sequence[str], first: int) -> Iterator[str]:
        """A function that does some lines, and then the statements of the order from one on."""
        yield f"def {name}(h, g):"
        lines = list(before)
        for number, statement in enumerate(self._order.effect[first:], first):
            lines += self._parting(statement, number)
        for line in (*lines, *self._end()):
            yield f"    {line}"

    def _end(self) -> Iterator[str]:
        effect = list(_all(self._order.effect))
        if Act("halt", None) in effect:
            yield "if g.halts: return h.halted(g)"
        if any(isinstance(each, Put) and each.value == Symbol(PLACE) for each in effect):
            yield f"return h.called(g, {self._phrases.next_place})"
        elif any(isinstance(each, Set) and each.names == (PLACE,) for each in effect):
            yield "return h.led(g)"
        else:
            yield "return None"

    def _parting(self, statement: Statement, number: int) -> list[str]:
        """Lines for a statement at which machines may part."""
        if not isinstance(statement, When) or isinstance(statement.condition, Flag):
            return self._statement(statement)
        return [
            *self._checked_in(statement.condition),
            f"c = {self._phrases.compared(statement.condition)}",
            "if isinstance(c, ndarray):",
            "    c = h.agreed(c)",
            f"    if not isinstance(c, bool): return h.parted(g, c, then_{number}, obey_{number + 1})",
            "if c:",
            *(f"    {line}" for line in self._statement(statement.then)),
        ]

    # -- statements ---------------------------------------------------------------------------

    def _address(self) -> list[str]:
        """Lines that work out the address `e` on which an order works."""
        order = self._order
        if not order.has_address:
            return []
        if not order.is_indirect:
            return [f"e = {order.address}"]
        if order.address >= self._store_words:
            return [self._stopped(f"h.no_such_word({order.address})")]
        lines = []
        if self._is_stepping(order):
            mask = (1 << self._sheet.word_bits) - 1
            lines.append(f"h.write(g, {order.address}, h.read(g, {order.address}) + 1 & {mask})")
        word = f"h.read(g, {order.address})"
        if self._sheet.word_bits > self._sheet.address_bits:
            word += f" & {(1 << self._sheet.address_bits) - 1}"
        return [*lines, f"e = {word}"]

    def _statement(self, statement: Statement) -> list[str]:
        if isinstance(statement, Set):
            lines = self._checked(statement.value)
            if statement.names == (PLACE,):
                return [*lines, f"g.place = {self._phrases.address(statement.value)}"]
            return [*lines, *self._phrases.set_registers(statement)]
        if isinstance(statement, Put):
            lines = [*self._checked(statement.value), *self._checked(statement.address)]
            address = self._phrases.address(statement.address)
            lines += self._sound(address)
            return [*lines, f"h.write(g, {address}, {self._phrases.word(statement.value)})"]
        if isinstance(statement, When):
            if statement.condition == Flag("typed"):
                return [*self._key_awaited(), *self._statement(statement.then)]
            assert statement.condition == Flag("printed"), "machines part at all others"
            return ["if h.await_printer(g):", *(f"    {line}" for line in self._statement(statement.then))]
        return self._act(statement)

    def _act(self, act: Act) -> list[str]:
        if act.name == "print":
            assert not isinstance(act.value, Flag | None)
            stopped = self._stopped("'printer not ready'")
            return [
                *self._checked(act.value),
                f"if h.is_printing(g): {stopped}",
                f"h.send(g, {self._phrases.value(act.value)})",
            ]
        if act.name == "forget":
            assert isinstance(act.value, Flag)
            return [f"h.forget_{act.value.name}(g)"]
        phrases = self._phrases
        return [
            {
                "skip": f"g.place = {phrases.after_next}",
                "stay": f"g.place = {phrases.next_place}",
                "halt": "g.halts = True",
            }[act.name]
        ]

    # -- what may stop machines ---------------------------------------------------------------

    def _stopped(self, fault: str) -> str:
        """A line that stops all of them; the order at hand counts as not obeyed."""
        return f"return h.stopped(g, {self._place}, {self._order.cycles}, {fault})"

    def _key_awaited(self) -> list[str]:
        return [f"if not h.await_key(g, {self._place}, {self._order.cycles}): return NOBODY", *self._anew()]

    def _checked_in(self, condition: Condition) -> list[str]:
        if isinstance(condition, Flag):
            return []
        return [*self._checked(condition.left), *self._checked(condition.right)]

    def _checked(self, value: Expression) -> list[str]:
        """Lines that stop machines for which there is no such word, or no key, as an expression asks for."""
        lines = []
        for word in words_in(value):
            lines += self._sound(self._phrases.address(word.address))
        if has_key(value):
            lines.append(f"if not g.channels[0]: {self._stopped(repr('no key to read'))}")
        return lines

    def _sound(self, address: str) -> list[str]:
        """Lines that stop machines for which an address is none."""
        if self._is_whole or (address.isdigit() and int(address) < self._store_words):
            return []
        return [
            f"if not h.sound(g, {address}, {self._place}, {self._order.cycles}): return NOBODY",
            *self._anew(),
        ]


def _all(effect: Effect) -> Iterator[Statement]:
    """Every statement, those on a condition too."""
    for statement in effect:
        yield statement
        if isinstance(statement, When):
            yield statement.then


def _puts(effect: Effect) -> bool:
    return any(isinstance(statement, Put) for statement in _all(effect))


def _numbers(effect: Effect) -> Iterator[Expression]:
    """Every number that an effect works out, those that are part of others apart."""
    for statement in _all(effect):
        match statement:
            case Set(_, value) | Act(_, value) if value is not None and not isinstance(value, Flag):
                yield value
            case Put(address, value):
                yield from (address, value)
            case When(Compare(_, left, right)):
                yield from (left, right)
