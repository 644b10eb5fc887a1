"""What the orders of a sheet do, each found out once; the size passes ask for it over and over."""

from collections.abc import Mapping

from budget.target.code import Item, Literal, Ref
from budget.target.effect import Act, Compare, Effect, Number, Symbol, When
from budget.target.facts import Facts
from budget.target.knowing import UNKNOWN, Known, State, known_after
from budget.target.meaning import ELSEWHERE, WORD, Meaning, meaning
from budget.target.memory import Memory
from budget.target.sheet import Orders, Sheet, TargetOrder

Names = tuple[str, ...]


class Meanings:
    """What the orders of a sheet do."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.orders = Orders(sheet)
        self._registers = tuple(sheet.registers)
        self._effects: dict[Names, Effect | None] = {}
        self._meanings: dict[Names, Meaning] = {}
        self._meanings_of: dict[Effect, Meaning] = {}
        self._parts: dict[Names, list[TargetOrder]] = {}
        self._after: dict[tuple[object, ...], tuple[State, Known]] = {}
        self._facts: dict[tuple[object, ...], Facts] = {}
        self.memory = Memory()

    # -- orders without their operands --------------------------------------------------------

    def effect(self, names: Names) -> Effect | None:
        """What orders in one word do together; None if they do not go together."""
        if names not in self._effects:
            self._effects[names] = self._found(names)
        return self._effects[names]

    def _found(self, names: Names) -> Effect | None:
        if len(names) == 1 and names[0] in self.orders.named:
            first = self.orders.named[names[0]][0]
            if not first.group:
                return first.effect
        word = self.orders.combined(names)
        return None if word is None else self.orders.decode(word, 0).effect

    def meaning(self, names: Names) -> Meaning:
        """What orders in one word mean together."""
        found = self._meanings.get(names)
        if found is None:
            effect = self.effect(names)
            assert effect is not None
            found = self._meanings[names] = self.meaning_of(effect)
        return found

    def meaning_of(self, effect: Effect) -> Meaning:
        """What an effect means."""
        found = self._meanings_of.get(effect)
        if found is None:
            found = self._meanings_of[effect] = meaning(effect, self.sheet.registers)
        return found

    def parts(self, names: Names) -> list[TargetOrder]:
        """The orders that one word combines, in the order in which they act; also those that its bits imply."""
        if names not in self._parts:
            self._parts[names] = self.orders.parts(names)
        return self._parts[names]

    def always_skips(self, names: Names) -> bool:
        """Whether the next order is passed over in any case."""
        effect = self.effect(names) or ()
        return Act("skip", None) in effect and self.meaning(names).needs == frozenset()

    def after(self, effect: Effect, state: State, word: Known = UNKNOWN) -> tuple[State, Known]:
        """What is known of the registers and of the word after an effect, from what was known before."""
        key = (effect, word, *[state.get(name, UNKNOWN) for name in self._registers])
        found = self._after.get(key)
        if found is None:
            after = known_after(effect, self.sheet.registers, self.sheet.word_bits, {**state, WORD: word})
            found = self._after[key] = {name: after[name] for name in self._registers}, after[WORD]
        return found

    # -- and with them ------------------------------------------------------------------------

    def facts(self, item: Item, *, is_temporary: bool) -> Facts:
        """What is sure of an order; `is_temporary`: whether its operand is the address of a temporary."""
        key = (item.names, item.operand, item.is_indirect, is_temporary)
        found = self._facts.get(key)
        if found is None:
            found = self._facts[key] = self._facts_of(item, is_temporary=is_temporary)
        return found

    def _facts_of(self, item: Item, *, is_temporary: bool) -> Facts:
        effect = self.effect(item.names)
        assert effect is not None
        what, operand = self.meaning_of(effect), item.operand
        own = operand.label if is_temporary and isinstance(operand, Ref) else None
        names = {name: own_name(name, None if item.is_indirect else own) for name in _named_in(what)}
        always, when = set(what.needs), []
        for name, depends in what.changes.items():
            known_as = names[name]
            if known_as is None:
                always |= depends
            else:
                when.append((known_as, _known_as(depends, names)))
        return Facts(
            what,
            effect,
            frozenset(known_as for known_as, _ in when),
            _known_as(always, names) | ({own} if item.is_indirect and own is not None else frozenset()),
            tuple(when),
            self._held(item),
            str(operand) if isinstance(operand, Ref) and not item.is_indirect else None,
            _tested(effect),
        )

    def _held(self, item: Item) -> Known | None:
        """What is known of the word that an order works on, whatever was known before."""
        operand, mask = item.operand, (1 << self.sheet.word_bits) - 1
        if item.is_indirect or operand is None:
            return UNKNOWN
        if isinstance(operand, Literal):
            value = operand.value
            return UNKNOWN if value.label else (value.offset & mask, mask)
        return None


def own_name(name: str, temporary: str | None) -> str | None:
    """A register, or the temporary that an order works on; None for any other word."""
    return None if name == ELSEWHERE else temporary if name == WORD else name


def _named_in(what: Meaning) -> set[str]:
    return {*what.changes, *what.needs}.union(*what.changes.values())


def _known_as(names: set[str] | frozenset[str], known_as: Mapping[str, str | None]) -> frozenset[str]:
    return frozenset(own for name in names if (own := known_as[name]) is not None)


def _tested(effect: Effect) -> tuple[str, int] | None:
    match effect:
        case (When(Compare("=", Symbol(register), Number(0)), Act("skip")),):
            return register, 2
        case (Act("skip"), When(Compare("=", Symbol(register), Number(0)), Act("stay"))):
            return register, 1
    return None
