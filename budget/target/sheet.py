"""An order sheet: the orders of a user's own machine, how they lie in words, and what stands for each of ours.

Only sizes and bits are known here; `budget.target.reading` makes a sheet out of a file.
"""

from functools import cached_property
from typing import NamedTuple

from budget.machine.layout import Fault
from budget.target.effect import Effect

WITHIN, PAGE, INDIRECT, NUMBER_FIELD = "a", "p", "i", "n"
"""The letters of a pattern: the address within its page; whether it is page zero (0) or this page (1); whether the
word there holds the address; a number."""
LETTERS = (WITHIN, PAGE, INDIRECT, NUMBER_FIELD)
FREE = "."
"""A bit of a pattern that other orders of the group may set."""


class Pattern(NamedTuple):
    """The bits of an order: `mask` has those that are fixed, `ones` those of them that are 1; fields lie elsewhere.

    fields: for each letter the lowest bit and how many there are.
    """

    ones: int
    mask: int
    fields: dict[str, tuple[int, int]]

    def fits(self, word: int) -> bool:
        """Whether a word has these bits."""
        return word & self.mask == self.ones

    def field(self, letter: str, word: int) -> int:
        """The number that stands in a field; 0 where there is none."""
        lowest, bits = self.fields.get(letter, (0, 0))
        return word >> lowest & (1 << bits) - 1


class TargetOrder(NamedTuple):
    """One order.  `group` is where it can be combined with others in one word, or nothing."""

    name: str
    pattern: Pattern
    group: str
    effect: Effect
    cycles: int


class Group(NamedTuple):
    """Orders that one word can hold together; they act in the order of the sheet.  `empty`: the word without any."""

    name: str
    pattern: Pattern
    cycles: int
    empty: str


class Decoded(NamedTuple):
    """A word as an order: its names, what they do together, and the fields of its pattern."""

    names: tuple[str, ...]
    effect: Effect
    cycles: int
    has_address: bool
    address: int
    is_indirect: bool
    number: int


class Expansion(NamedTuple):
    """What stands for one of our orders, or for two that follow one another.

    order, then: their names; at: where the operand has to be this number, else None; needs: what nobody may ask for
    afterwards (`free` in a sheet); keeps_carry: whether the carry is as before; lines: as the sheet has them.
    """

    order: str
    then: str
    at: int | None
    needs: frozenset[str]
    keeps_carry: bool
    lines: tuple["TemplateLine", ...]


class TemplateLine(NamedTuple):
    """One order of an expansion: a label before it, its names, and its operand.

    kind: '' for none, 'n' or 'm' for our operands, 'link', 'temporary', 'local', or 'number'; is_literal: for the
    address of a word that holds it.
    """

    label: str
    names: tuple[str, ...]
    is_indirect: bool
    kind: str
    operand: str
    is_literal: bool


class Sheet(NamedTuple):
    """The orders of a machine.

    registers: bits of each; page_words: 0 where an order can hold a whole address; first_word: where programs may
    begin; stepping: addresses that count up when an address is taken from them; common: what our orders need that is
    written once for all (see docs/order-sheets.md), by its key.
    """

    name: str
    title: str
    origin: str
    word_bits: int
    address_bits: int
    page_words: int
    first_word: int
    stepping: tuple[int, int] | None
    indirect_cycles: int
    registers: dict[str, int]
    accumulator: str
    orders: tuple[TargetOrder, ...]
    groups: tuple[Group, ...]
    temporaries: tuple[str, ...]
    expansions: tuple[Expansion, ...]
    common: dict[str, tuple[TemplateLine, ...]]


class Orders:
    """Turns words of a sheet's machine into orders and back."""

    def __init__(self, sheet: Sheet) -> None:
        self._sheet = sheet
        self.named: dict[str, list[TargetOrder]] = {}
        for order in sheet.orders:
            self.named.setdefault(order.name, []).append(order)
        self._groups = {group.name: group for group in sheet.groups}
        self.empty = {group.empty: group for group in sheet.groups if group.empty}

    @cached_property
    def _alone(self) -> list[TargetOrder]:
        return [order for order in self._sheet.orders if not order.group]

    def decode(self, word: int, place: int) -> Decoded:
        """The order that a word is, at this place.  Raises Fault if it is none."""
        for order in self._alone:
            if order.pattern.fits(word):
                return self._with_fields(order, word, place)
        for group in self._sheet.groups:
            if group.pattern.fits(word):
                parts = self._parts(group, word)
                if parts is not None:
                    return self._combined(group, parts)
        raise Fault(f"not an order: {word}")

    def _with_fields(self, order: TargetOrder, word: int, place: int) -> Decoded:
        pattern, page_words = order.pattern, self._sheet.page_words
        address = pattern.field(WITHIN, word)
        if page_words and pattern.field(PAGE, word):
            address += place - place % page_words
        is_indirect = bool(pattern.field(INDIRECT, word))
        cycles = order.cycles + (self._sheet.indirect_cycles if is_indirect else 0)
        number = pattern.field(NUMBER_FIELD, word)
        return Decoded(
            (order.name,), order.effect, cycles, WITHIN in pattern.fields, address, is_indirect, number
        )

    def _parts(self, group: Group, word: int) -> list[TargetOrder] | None:
        """The orders that a word of a group combines; None if some bit of it means nothing."""
        parts = [
            order for order in self._sheet.orders if order.group == group.name and order.pattern.fits(word)
        ]
        covered = group.pattern.ones
        for part in parts:
            covered |= part.pattern.ones
        return parts if covered == word else None

    def parts(self, names: tuple[str, ...]) -> list[TargetOrder]:
        """The orders that one word combines, in the order in which they act; also those that its bits imply."""
        word = self.combined(names)
        group = next(
            (each for each in self._sheet.groups if word is not None and each.pattern.fits(word)), None
        )
        if word is None or group is None:
            return [self.named[name][0] for name in names if name in self.named]
        return self._parts(group, word) or []

    def _combined(self, group: Group, parts: list[TargetOrder]) -> Decoded:
        named = [
            part.name
            for part in parts
            if not any(
                part.pattern.ones != other.pattern.ones and part.pattern.ones & ~other.pattern.ones == 0
                for other in parts
            )
        ]
        effect = tuple(statement for part in parts for statement in part.effect)
        names = tuple(named) or ((group.empty,) if group.empty else (group.name,))
        return Decoded(names, effect, group.cycles, False, 0, False, 0)

    # -- writing ------------------------------------------------------------------------------

    def combined(self, names: tuple[str, ...]) -> int | None:
        """The word that holds these orders without an address; None if no word holds just these."""
        if len(names) == 1 and names[0] in self.empty:
            return self.empty[names[0]].pattern.ones
        for group in dict.fromkeys(order.group for order in self.named[names[0]]):
            orders = [order for name in names for order in self.named[name] if order.group == group]
            if len(orders) != len(names) or (len(names) > 1 and not group):
                continue
            word = self._groups[group].pattern.ones if group else 0
            for order in orders:
                word |= order.pattern.ones
            if self._means(word, names):
                return word
        return None

    def _means(self, word: int, names: tuple[str, ...]) -> bool:
        try:
            return set(self.decode(word, 0).names) == set(names)
        except Fault:
            return False

    def addressed(self, name: str, address: int, place: int, *, is_indirect: bool) -> int | None:
        """The word of an order with an address, for this place; None if it cannot reach so far."""
        pattern, page_words = self.named[name][0].pattern, self._sheet.page_words
        lowest, bits = pattern.fields[WITHIN]
        word = pattern.ones
        if page_words:
            page, address = divmod(address, page_words)
            if page and page != place // page_words:
                return None
            if page:
                word |= 1 << pattern.fields[PAGE][0]
        if address >> bits:
            return None
        if is_indirect:
            word |= 1 << pattern.fields[INDIRECT][0]
        return word | address << lowest

    def holds_number(self, name: str) -> bool:
        """Whether an order holds a number in place of an address."""
        return name in self.named and NUMBER_FIELD in self.named[name][0].pattern.fields

    def numbered(self, name: str, number: int) -> int | None:
        """The word of an order that holds a number; None if it is too large."""
        pattern = self.named[name][0].pattern
        lowest, bits = pattern.fields[NUMBER_FIELD]
        cut = number % (1 << self._sheet.word_bits)
        return None if cut >> bits else pattern.ones | cut << lowest
