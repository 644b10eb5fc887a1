"""What a sheet offers to the size passes: the order that jumps, the one that loads, the words that make a constant."""

from collections import deque
from functools import cached_property
from itertools import combinations

from budget.target.code import Draft
from budget.target.effect import ADDRESS, PLACE, Act, Effect, Set, Statement, Symbol, When
from budget.target.flow import Flow
from budget.target.knowing import State
from budget.target.meanings import Meanings, Names
from budget.target.sheet import WITHIN, Sheet

MOST_TOGETHER = 4
"""Orders of one word that are tried together."""
TRIED = (5, 1234567)
"""Numbers by which an order is known to load a word."""
REMEMBERED = 4
"""Of so many drafts the graph is remembered, and of so many sheets the choices."""


class Choices:
    """The words of a sheet by what they do, each found by its effect."""

    def __init__(self, sheet: Sheet) -> None:
        self.meanings = Meanings(sheet)
        self.sheet = sheet
        self.mask = (1 << sheet.word_bits) - 1
        self._flows: deque[tuple[Draft, Flow]] = deque(maxlen=REMEMBERED)

    def flow(self, draft: Draft) -> Flow:
        """The graph of a draft, which pass after pass looks at until one changes something."""
        for known, flow in self._flows:
            if known is draft:
                return flow
        flow = Flow(draft, self.meanings)
        self._flows.append((draft, flow))
        return flow

    # -- single orders ------------------------------------------------------------------------

    @cached_property
    def jump(self) -> str | None:
        """The order that only goes elsewhere."""
        wanted = (Set((PLACE,), Symbol(ADDRESS)),)
        return next((order.name for order in self.sheet.orders if order.effect == wanted), None)

    @cached_property
    def call(self) -> str | None:
        """The order that goes elsewhere and leaves its place before the orders there."""
        addressed = (order.name for order in self.sheet.orders if WITHIN in order.pattern.fields)
        return next((name for name in addressed if self.meanings.meaning((name,)).links), None)

    @cached_property
    def loaders(self) -> dict[str, str]:
        """For each register the order that loads a word into it where it was 0."""
        found: dict[str, str] = {}
        for order in self.sheet.orders:
            if WITHIN not in order.pattern.fields or not self.meanings.meaning((order.name,)).is_plain:
                continue
            for register in self.sheet.registers:
                if register not in found and self._loads(order.effect, register):
                    found[register] = order.name
        return found

    def _loads(self, effect: Effect, register: str) -> bool:
        if self.sheet.registers[register] != self.sheet.word_bits:
            return False
        for number in TRIED:
            word = (number & self.mask, self.mask)
            registers, kept = self.meanings.after(effect, {register: (0, self.mask)}, word)
            if registers[register] != word or kept != word:
                return False
        return True

    # -- orders without an address ------------------------------------------------------------

    @cached_property
    def plain_words(self) -> list[Names]:
        """Every word without an address that only changes registers, those with fewer orders first."""
        singles: dict[str, list[str]] = {}
        for order in self.sheet.orders:
            if not order.pattern.fields and self.meanings.meaning_of(order.effect).is_plain:
                singles.setdefault(order.group, []).append(order.name)
        found: list[Names] = []
        for group, names in singles.items():
            most = MOST_TOGETHER if group else 1
            for count in range(1, most + 1):
                found += [each for each in combinations(names, count) if self._is_plain(each)]
        return sorted(dict.fromkeys(found), key=len)

    def _is_plain(self, names: Names) -> bool:
        return self.meanings.effect(names) is not None and self.meanings.meaning(names).is_plain

    @cached_property
    def _makers(self) -> dict[tuple[str, bool], dict[int, list[Names]]]:
        """For each register, cleared before or not, the words that make a constant of it."""
        makers: dict[tuple[str, bool], dict[int, list[Names]]] = {}
        for register, bits in self.sheet.registers.items():
            full = (1 << bits) - 1
            for is_clear in (False, True):
                table = makers.setdefault((register, is_clear), {})
                for names in self.plain_words:
                    after = self.after(names, {register: (0, full)} if is_clear else {})[register]
                    if after[1] == full:
                        table.setdefault(after[0], []).append(names)
        return makers

    def after(self, names: Names, state: State) -> State:
        """What is known after a word without an address."""
        effect = self.meanings.effect(names)
        assert effect is not None
        return self.meanings.after(effect, state)[0]

    def maker(self, register: str, number: int, *, is_clear: bool, asked: frozenset[str]) -> Names | None:
        """The word that makes a register a number and changes nothing else that is asked for; None if there is none."""
        for names in self._makers[register, is_clear].get(number, ()):
            if not (set(self.meanings.meaning(names).changes) - {register}) & asked:
                return names
        return None

    # -- skips --------------------------------------------------------------------------------

    @cached_property
    def opposites(self) -> dict[Names, Names]:
        """For each word that skips on one condition, the word that skips on the opposite."""
        skip, stay = Act("skip", None), Act("stay", None)
        when: dict[Statement, Names] = {}
        unless: dict[Statement, Names] = {}
        for order in self.sheet.orders:
            effect = self.meanings.effect((order.name,)) or ()
            match effect:
                case (When(condition, then),) if then == skip:
                    when[When(condition, skip)] = (order.name,)
                case (first, When(condition, then)) if first == skip and then == stay:
                    unless[When(condition, skip)] = (order.name,)
                case _:
                    pass
        pairs = [(when[each], unless[each]) for each in when if each in unless]
        return {**dict(pairs), **{second: first for first, second in pairs}}

    def opposite(self, names: Names) -> Names | None:
        """The word that skips where this one does not, and does the rest alike."""
        for name in names:
            other = self.opposites.get((name,))
            if other is None:
                continue
            rest = tuple(each for each in names if each != name)
            if any(self.meanings.meaning((each,)).skips for each in rest):
                return None
            turned = (*other, *rest)
            return turned if self.meanings.effect(turned) is not None else None
        return None


_MADE: deque[Choices] = deque(maxlen=REMEMBERED)


def choices_of(sheet: Sheet) -> Choices:
    """The choices of a sheet, found out once for all its programs: a search for the shortest expands many."""
    found = next((each for each in _MADE if each.sheet is sheet), None)
    if found is None:
        found = Choices(sheet)
        _MADE.append(found)
    return found
