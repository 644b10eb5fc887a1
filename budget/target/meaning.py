"""What follows from an order's effect: what it changes, what that depends on, and what is known after it.

The size passes rest on this alone, so they hold for any sheet.  All of it is on the safe side: a dependency may be named
that there is not, a value may be unknown that could be known.
"""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from budget.target.effect import (
    ADDRESS,
    KEY,
    NUMBER,
    PLACE,
    Act,
    Both,
    Compare,
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
ALL = (1 << BITS) - 1
Known = tuple[int, int]
"""A number of which some bits are known: the number, and a mask of those bits."""
UNKNOWN: Known = (0, 0)
State = Mapping[str, Known]


class Meaning(NamedTuple):
    """What an effect does.

    changes: for each register and word that it may change, what the new value depends on; needs: what matters whatever
    is asked for later; skips, jumps, links, halts: whether it may pass over the next order, goes elsewhere, leaves there
    where it came from, stops; talks: whether keyboard or printer have a part in it; is_plain: none of these.
    """

    changes: Mapping[str, frozenset[str]]
    needs: frozenset[str]
    skips: bool
    jumps: bool
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
        return Meaning(
            changes, frozenset(self._needs), bool(acts & {"skip", "stay"}), jumps, links, "halt" in acts, talks
        )

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
        nothing = frozenset[str]()
        if isinstance(value, Number):
            return [nothing] * BITS
        if isinstance(value, Symbol):
            return _wide(self._bits.get(value.name, []))
        if isinstance(value, Joined):
            return _wide([bit for name in reversed(value.names) for bit in self._bits[name]])
        if isinstance(value, Word):
            if value.address == Symbol(ADDRESS):
                return self._bits[WORD]
            return [frozenset({ELSEWHERE}).union(*self._value(value.address))] * BITS
        if isinstance(value, Not):
            return self._value(value.inner)
        return self._both(value)

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
        is_flag = isinstance(condition, Flag)
        return is_flag or _talks(statement.then) or _has_key(condition.left) or _has_key(condition.right)
    if isinstance(statement, Act):
        return statement.name in ("print", "forget")
    return _has_key(statement.value)


def _has_key(value: Expression) -> bool:
    if isinstance(value, Both):
        return _has_key(value.left) or _has_key(value.right)
    if isinstance(value, Not):
        return _has_key(value.inner)
    return value == Symbol(KEY)


# -- what is known --------------------------------------------------------------------------------


def known_after(effect: Effect, registers: Mapping[str, int], word_bits: int, state: State) -> dict[str, Known]:
    """What is known of the registers, and of the word (`WORD`), after an effect, from what was known before."""
    now = {name: state.get(name, UNKNOWN) for name in (*registers, WORD)}
    knower = _Knower(registers, word_bits, now)
    for statement in effect:
        knower.follow(statement)
    return now


class _Knower:
    """Follows an effect with numbers of which some bits are known."""

    def __init__(self, registers: Mapping[str, int], word_bits: int, now: dict[str, Known]) -> None:
        self._registers = registers
        self._word_mask = (1 << word_bits) - 1
        self._now = now

    def follow(self, statement: Statement) -> None:
        if isinstance(statement, When):
            before = dict(self._now)
            self.follow(statement.then)
            for name, value in before.items():
                self._now[name] = _agreed(value, self._now[name])
        elif isinstance(statement, Set) and statement.names != (PLACE,):
            value, mask = self._value(statement.value)
            for name in reversed(statement.names):
                size = (1 << self._registers[name]) - 1
                self._now[name] = (value & size, mask & size)
                value, mask = value >> self._registers[name], mask >> self._registers[name]
        elif isinstance(statement, Put):
            value, mask = self._value(statement.value)
            is_word = statement.address == Symbol(ADDRESS)
            self._now[WORD] = (value & self._word_mask, mask & self._word_mask) if is_word else UNKNOWN

    def _value(self, value: Expression) -> Known:
        if isinstance(value, Number):
            return value.value, ALL
        if isinstance(value, Symbol):
            return self._symbol(value.name)
        if isinstance(value, Joined):
            return self._joined(value)
        if isinstance(value, Word):
            if value.address != Symbol(ADDRESS):
                return 0, ALL & ~self._word_mask
            number, mask = self._now[WORD]
            return number, mask | ALL & ~self._word_mask
        if isinstance(value, Not):
            number, mask = self._value(value.inner)
            return ~number & mask & self._word_mask, mask | ALL & ~self._word_mask
        return _combined(value.mark, self._value(value.left), self._value(value.right))

    def _symbol(self, name: str) -> Known:
        if name not in self._registers:
            return UNKNOWN
        number, mask = self._now[name]
        return number, mask | ALL & ~((1 << self._registers[name]) - 1)

    def _joined(self, value: Joined) -> Known:
        number = mask = shift = 0
        for name in reversed(value.names):
            part, known = self._now[name]
            number, mask = number | part << shift, mask | known << shift
            shift += self._registers[name]
        return number, mask | ALL & ~((1 << shift) - 1)


def _combined(mark: str, left: Known, right: Known) -> Known:
    (one, known), (other, also) = left, right
    if mark in ("<<", ">>"):
        if mark == "<<":
            return one << other & ALL, (known << other | (1 << other) - 1) & ALL
        return one >> other, known >> other | ALL & ~(ALL >> other)
    if mark == "and":
        zeros = known & ~one | also & ~other
        return one & other & known & also, known & also | zeros
    if mark == "or":
        ones = known & one | also & other
        return ones, known & also | ones
    if mark == "xor":
        return (one ^ other) & known & also, known & also
    sure = known & also
    low = (sure ^ sure + 1) >> 1 & ALL  # the lowest bits, as far as both are known
    total = one + other if mark == "+" else one - other
    return total & low, low


def _agreed(one: Known, other: Known) -> Known:
    mask = one[1] & other[1] & ~(one[0] ^ other[0])
    return one[0] & mask, mask


def agreed(one: State, other: State) -> dict[str, Known]:
    """What is known of each name in both of two states."""
    return {name: _agreed(value, other[name]) for name, value in one.items() if name in other}


__all__ = ["ALL", "ELSEWHERE", "NUMBER", "UNKNOWN", "WORD", "Compare", "Known", "Meaning", "State", "agreed", "known_after", "meaning"]
