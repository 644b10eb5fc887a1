"""What an order changes, and what that depends on, found out from its effect.

The size passes rest on this and on `budget.target.knowing` alone, so they hold for any sheet.  It is on the safe side:
a dependency may be named that there is not.
"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from budget.target.effect import (
    ADDRESS,
    KEY,
    PLACE,
    Act,
    Both,
    Condition,
    Effect,
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

WORD = "S[e]"
"""The word that an order works on, where it is named among registers."""
ELSEWHERE = "S"
"""Any other word."""
BITS = 64


class Meaning(NamedTuple):
    """What an effect does.

    changes: for each register and word that it may change, what the new value depends on; needs: what matters whatever
    is asked for later; skips: whether it may pass over the next order; jumps: whether it may go elsewhere; stays:
    whether it may go on; links: whether it leaves there where it came from; halts: whether it stops; talks: whether
    keyboard or printer have a part in it.
    """

    changes: Mapping[str, frozenset[str]]
    needs: frozenset[str]
    skips: bool
    jumps: bool
    stays: bool
    links: bool
    halts: bool
    talks: bool

    @property
    def is_plain(self) -> bool:
        """Whether it only changes registers and words."""
        return not (self.skips or self.jumps or self.halts or self.talks)


def meaning(effect: Effect, registers: Mapping[str, int]) -> Meaning:
    """What an effect does."""
    found = _Finder(registers)
    for statement in effect:
        found.follow(statement, frozenset())
    return found.meaning(effect)


class _Finder:
    """Follows an effect, with what every bit of every register depends on so far."""

    def __init__(self, registers: Mapping[str, int]) -> None:
        self._registers = registers
        self._bits: dict[str, list[frozenset[str]]] = {
            name: [frozenset({name})] * bits for name, bits in registers.items()
        }
        self._bits[WORD] = [frozenset({WORD})] * BITS
        self._changed: set[str] = set()
        self._needs: set[str] = set()

    def meaning(self, effect: Effect) -> Meaning:
        acts = {each.name for each in _acts(effect)}
        jumps = any(isinstance(each, Set) and each.names == (PLACE,) for each in _all(effect))
        links = any(isinstance(each, Put) and each.value == Symbol(PLACE) for each in _all(effect))
        talks = bool(acts & {"print", "forget"}) or any(_talks(each) for each in effect)
        changes = {name: frozenset().union(*self._bits.get(name, [])) for name in self._changed}
        stays = not any(isinstance(each, Set) and each.names == (PLACE,) for each in effect)
        skips = bool(acts & {"skip", "stay"})
        return Meaning(changes, frozenset(self._needs), skips, jumps, stays, links, "halt" in acts, talks)

    def follow(self, statement: Statement, under: frozenset[str]) -> None:
        """Follow one statement, done only on a condition that depends on `under`."""
        if isinstance(statement, When):
            self.follow(statement.then, under | self._condition(statement.condition))
        elif isinstance(statement, Set):
            self._set(statement, under)
        elif isinstance(statement, Put):
            self._put(statement, under)
        else:
            self._needs |= under
            if statement.value is not None and not isinstance(statement.value, Flag):
                self._needs |= frozenset().union(*self._value(statement.value))

    def _set(self, statement: Set, under: frozenset[str]) -> None:
        bits = self._value(statement.value)
        if statement.names == (PLACE,):
            self._needs |= under.union(*bits)
            return
        for name in reversed(statement.names):
            width = self._registers[name]
            self._change(name, bits[:width], under)
            bits = bits[width:]

    def _put(self, statement: Put, under: frozenset[str]) -> None:
        self._needs |= frozenset().union(*self._value(statement.address))
        name = WORD if statement.address == Symbol(ADDRESS) else ELSEWHERE
        if name == ELSEWHERE:
            self._needs |= under.union(*self._value(statement.value))
            self._changed.add(name)
        else:
            self._change(name, self._value(statement.value), under)

    def _change(self, name: str, bits: list[frozenset[str]], under: frozenset[str]) -> None:
        if under:
            bits = [new | old | under for new, old in zip(bits, self._bits[name], strict=False)]
        self._bits[name] = bits
        self._changed.add(name)

    def _condition(self, condition: Condition) -> frozenset[str]:
        if isinstance(condition, Flag):
            return frozenset()
        return frozenset().union(*self._value(condition.left), *self._value(condition.right))

    def _value(self, value: Expression) -> list[frozenset[str]]:
        """What each bit of an expression depends on, the lowest first; always `BITS` of them."""
        match value:
            case Number():
                bits: list[frozenset[str]] = []
            case Symbol(name):
                bits = self._bits.get(name, [])
            case Joined(names):
                bits = [bit for name in reversed(names) for bit in self._bits[name]]
            case Word(address) if address == Symbol(ADDRESS):
                bits = self._bits[WORD]
            case Word(address):
                bits = [frozenset({ELSEWHERE}).union(*self._value(address))] * BITS
            case Not(inner):
                bits = self._value(inner)
            case Both():
                bits = self._both(value)
        return _wide(bits)

    def _both(self, value: Both) -> list[frozenset[str]]:
        left = self._value(value.left)
        if value.mark in ("<<", ">>"):
            assert isinstance(value.right, Number)
            amount = value.right.value
            return _wide([frozenset()] * amount + left if value.mark == "<<" else left[amount:])
        right = self._value(value.right)
        if value.mark == "and":
            for one, other in ((value.left, right), (value.right, left)):
                if isinstance(one, Number):
                    return [bit if one.value >> place & 1 else frozenset() for place, bit in enumerate(other)]
        joined = [one | other for one, other in zip(left, right, strict=True)]
        if value.mark in ("+", "-"):
            below = frozenset[str]()
            for place, bit in enumerate(joined):
                below |= bit
                joined[place] = below
        return joined


def _wide(bits: list[frozenset[str]]) -> list[frozenset[str]]:
    return [*bits, *[frozenset[str]()] * BITS][:BITS]


def _all(effect: Iterable[Statement]) -> Iterable[Statement]:
    """Every statement, those on a condition too."""
    for statement in effect:
        yield statement
        if isinstance(statement, When):
            yield statement.then


def _acts(effect: Effect) -> Iterable[Act]:
    return (each for each in _all(effect) if isinstance(each, Act))


def _talks(statement: Statement) -> bool:
    if isinstance(statement, When):
        condition = statement.condition
        if isinstance(condition, Flag):
            return True
        return _talks(statement.then) or _has_key(condition.left) or _has_key(condition.right)
    if isinstance(statement, Act):
        return statement.name in ("print", "forget")
    return _has_key(statement.value)


def _has_key(value: Expression) -> bool:
    if isinstance(value, Both):
        return _has_key(value.left) or _has_key(value.right)
    if isinstance(value, Not):
        return _has_key(value.inner)
    return value == Symbol(KEY)
