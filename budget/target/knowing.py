"""What is known after an order, from what was known before it: numbers of which some bits are known.

It is on the safe side: a bit may be unknown that could be known.
"""

from collections.abc import Mapping

from budget.target.effect import (
    ADDRESS,
    PLACE,
    Both,
    Effect,
    Expression,
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
from budget.target.meaning import BITS, WORD

ALL = (1 << BITS) - 1
Known = tuple[int, int]
"""A number of which some bits are known: the number, and a mask of those bits."""
UNKNOWN: Known = (0, 0)
State = Mapping[str, Known]
"""What is known of each register and word, by name."""


def known_after(
    effect: Effect, registers: Mapping[str, int], word_bits: int, state: State
) -> dict[str, Known]:
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
            number, mask = self._value(statement.value)
            for name in reversed(statement.names):
                size = (1 << self._registers[name]) - 1
                self._now[name] = (number & size, mask & size)
                number, mask = number >> self._registers[name], mask >> self._registers[name]
        elif isinstance(statement, Put):
            number, mask = self._value(statement.value)
            is_word = statement.address == Symbol(ADDRESS)
            self._now[WORD] = (number & self._word_mask, mask & self._word_mask) if is_word else UNKNOWN

    def _value(self, value: Expression) -> Known:
        above = ALL & ~self._word_mask
        match value:
            case Number(number):
                return number, ALL
            case Symbol(name):
                return self._symbol(name)
            case Joined():
                return self._joined(value)
            case Word(address):
                number, mask = self._now[WORD] if address == Symbol(ADDRESS) else UNKNOWN
                return number, mask | above
            case Not(inner):
                number, mask = self._value(inner)
                return ~number & mask & self._word_mask, mask | above
            case Both(mark, left, right):
                return _combined(mark, self._value(left), self._value(right))

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
    return {
        name: value if value == other[name] else _agreed(value, other[name])
        for name, value in one.items()
        if name in other
    }
