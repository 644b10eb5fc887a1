"""The graph of an expanded program: which order may follow which, what is asked for later, what is known before.

Temporaries count as registers: their addresses are never taken, so nothing else can change them.
"""

from collections.abc import Collection
from functools import cached_property

from budget.target.code import ORDER, Draft, Item, Literal, Ref
from budget.target.effect import Act, Compare, Effect, Number, Symbol, When
from budget.target.knowing import UNKNOWN, Known, State, agreed, known_after
from budget.target.meaning import ELSEWHERE, WORD, Meaning, meaning
from budget.target.sheet import Orders, Sheet


class Meanings:
    """What the orders of a sheet do, each found out once."""

    def __init__(self, sheet: Sheet) -> None:
        self.sheet = sheet
        self.orders = Orders(sheet)
        self._effects: dict[tuple[str, ...], Effect | None] = {}
        self._meanings: dict[tuple[str, ...], Meaning] = {}

    def effect(self, names: tuple[str, ...]) -> Effect | None:
        """What orders in one word do together; None if they do not go together."""
        if names not in self._effects:
            self._effects[names] = self._found(names)
        return self._effects[names]

    def _found(self, names: tuple[str, ...]) -> Effect | None:
        if len(names) == 1 and names[0] in self.orders.named:
            first = self.orders.named[names[0]][0]
            if not first.group:
                return first.effect
        word = self.orders.combined(names)
        return None if word is None else self.orders.decode(word, 0).effect

    def meaning(self, names: tuple[str, ...]) -> Meaning:
        """What orders in one word mean together."""
        if names not in self._meanings:
            effect = self.effect(names)
            assert effect is not None
            self._meanings[names] = meaning(effect, self.sheet.registers)
        return self._meanings[names]

    def always_skips(self, names: tuple[str, ...]) -> bool:
        """Whether the next order is passed over in any case."""
        effect = self.effect(names) or ()
        return Act("skip", None) in effect and self.meaning(names).needs == frozenset()


class Flow:
    """The graph of a draft's items, as they are now.

    onward: for each item those that may follow it; guarded: whether the item before it may pass over it.
    """

    def __init__(self, draft: Draft, meanings: Meanings) -> None:
        self.items = draft.items
        self._draft = draft
        self._meanings = meanings
        self._temporaries = frozenset(draft.temporaries.values())
        self._word_mask = (1 << meanings.sheet.word_bits) - 1
        self.at = {label: number for number, item in enumerate(self.items) for label in item.labels}
        self.guarded = [False, *(self._skips(item) for item in self.items)]
        self._returns: dict[str, list[int]] = {}
        for number, item in enumerate(self.items):
            if item.kind == ORDER and self.meaning(item).links and isinstance(item.operand, Ref):
                self._returns.setdefault(item.operand.label, []).append(number + 1)
        self.onward = [self._onward(number, item) for number, item in enumerate(self.items)]

    def meaning(self, item: Item) -> Meaning:
        """What an item does."""
        return self._meanings.meaning(item.names)

    def full(self, register: str) -> int:
        """The mask of all bits of a register."""
        return (1 << self._meanings.sheet.registers[register]) - 1

    def _skips(self, item: Item) -> bool:
        return item.kind == ORDER and self.meaning(item).skips

    # -- the graph ----------------------------------------------------------------------------

    def _onward(self, number: int, item: Item) -> tuple[int, ...]:
        if item.kind != ORDER:
            return ()
        what = self.meaning(item)
        if what.halts:
            return ()
        if what.jumps:
            return (*self._targets(item, is_link=what.links), *((number + 1,) if what.stays else ()))
        if what.skips:
            after = () if self._meanings.always_skips(item.names) else (number + 1,)
            return (*after, number + 2)
        return (number + 1,)

    def _targets(self, item: Item, *, is_link: bool) -> list[int]:
        operand = item.operand
        assert operand is not None
        if item.is_indirect:
            if item.leads_to is None:
                assert isinstance(operand, Ref), "only a link leads back"
                return self._returns.get(operand.label, [])
            return [place for label in item.leads_to for place in self._listed(self.at[label])]
        assert isinstance(operand, Ref), "an order goes to a label"
        return [self.at[operand.label] + (1 if is_link else 0)]

    def _listed(self, place: int) -> list[int]:
        """An item, and those after it if they are a list of jumps."""
        end = place + 1
        while end < len(self.items) and self.items[place].is_fixed and self.items[end].is_fixed:
            end += 1
        return list(range(place, end))

    @cached_property
    def before(self) -> list[list[int]]:
        """For each item those that it may follow."""
        found: list[list[int]] = [[] for _ in range(len(self.items) + 2)]
        for number, onward in enumerate(self.onward):
            for each in onward:
                found[each].append(number)
        return found

    @cached_property
    def entries(self) -> list[int]:
        """Where the program may be entered from nowhere that is known."""
        entries = {self.at[self._draft.start], *(self.at[label] for label in self._draft.taken)}
        return sorted(entries)

    def reached(self) -> set[int]:
        """The items that may ever be obeyed."""
        reached, waiting = set[int](), list(self.entries)
        while waiting:
            number = waiting.pop()
            if number not in reached and number < len(self.items):
                reached.add(number)
                waiting.extend(self.onward[number])
                item = self.items[number]
                if item.kind == ORDER and self.meaning(item).links:
                    waiting.append(self.onward[number][0] - 1)  # the link
        return reached

    # -- what is asked for later --------------------------------------------------------------

    def name(self, item: Item, name: str) -> str | None:
        """A register, or the temporary that an order works on; None for any other word."""
        if name == ELSEWHERE:
            return None
        if name != WORD:
            return name
        operand = item.operand
        is_own = isinstance(operand, Ref) and not item.is_indirect and operand.label in self._temporaries
        return operand.label if isinstance(operand, Ref) and is_own else None

    def asked_before(self, item: Item, later: frozenset[str]) -> frozenset[str]:
        """The registers and temporaries that matter before an order, if those of `later` matter after it."""
        if item.kind != ORDER:
            return later
        what = self.meaning(item)
        changes = {self.name(item, name): (name, needs) for name, needs in what.changes.items()}
        asked = set(later) - {name for name in changes if name is not None}
        needs = set(what.needs)
        for own, (_, depends) in changes.items():
            if own is None or own in later:
                needs |= depends
        asked |= {own for name in needs if (own := self.name(item, name)) is not None}
        if item.is_indirect:
            operand = item.operand
            if isinstance(operand, Ref) and operand.label in self._temporaries:
                asked.add(operand.label)
        return frozenset(asked)

    @cached_property
    def asked_after(self) -> list[frozenset[str]]:
        """For each item the registers and temporaries that matter after it."""
        after = [frozenset[str]()] * len(self.items)
        before = [frozenset[str]()] * (len(self.items) + 2)
        changed = True
        while changed:
            changed = False
            for number in range(len(self.items) - 1, -1, -1):
                item = self.items[number]
                if item.kind != ORDER:
                    continue
                after[number] = frozenset().union(*(before[each] for each in self.onward[number]))
                found = self.asked_before(item, after[number])
                changed |= found != before[number]
                before[number] = found
        return after

    # -- what is known ------------------------------------------------------------------------

    def known(self, item: Item, state: State) -> dict[str, Known]:
        """What is known after an order, from what was known before it."""
        registers = self._meanings.sheet.registers
        effect = self._meanings.effect(item.names)
        assert effect is not None
        given = {name: state.get(name, UNKNOWN) for name in registers}
        given[WORD] = self._word(item, state)
        after = known_after(effect, registers, self._meanings.sheet.word_bits, given)
        changes = self.meaning(item).changes
        found = {**self._still_known(item, state, changes), **{name: after[name] for name in registers}}
        if WORD in changes and not item.is_indirect and isinstance(item.operand, Ref):
            found[str(item.operand)] = after[WORD]
        return found

    def known_on(self, number: int, onward: int, state: State) -> State:
        """The same on the way to one of those that may follow: a register that was tested is known to be 0 there."""
        item = self.items[number]
        after = self.known(item, state)
        match self._meanings.effect(item.names):
            case (When(Compare("=", Symbol(register), Number(0)), Act("skip")),):
                way = number + 2
            case (Act("skip"), When(Compare("=", Symbol(register), Number(0)), Act("stay"))):
                way = number + 1
            case _:
                return after
        is_whole = register in self._meanings.sheet.registers and self.full(register) <= self._word_mask
        return {**after, register: (0, self.full(register))} if is_whole and onward == way else after

    def _still_known(self, item: Item, state: State, changes: Collection[str]) -> State:
        """What is known of words that an order cannot have changed."""
        if WORD not in changes and ELSEWHERE not in changes:
            return state
        operand = item.operand
        if ELSEWHERE not in changes and isinstance(operand, Ref) and not item.is_indirect:
            return {name: value for name, value in state.items() if self._is_apart(name, str(operand))}
        kept = {*self._meanings.sheet.registers, *self._temporaries}
        return {name: value for name, value in state.items() if name in kept}

    def _is_apart(self, name: str, changed: str) -> bool:
        """Whether two words are sure to be different ones."""
        if name in self._meanings.sheet.registers or {name, changed} & self._temporaries:
            return name != changed
        places = (self.at.get(name), self.at.get(changed))
        return None not in places and places[0] != places[1]

    def _word(self, item: Item, state: State) -> Known:
        """What is known of the word that an order works on."""
        operand = item.operand
        if item.is_indirect or operand is None:
            return UNKNOWN
        if isinstance(operand, Literal):
            value, mask = operand.value, self._word_mask
            return UNKNOWN if value.label else (value.offset & mask, mask)
        return state.get(str(operand), UNKNOWN)

    @cached_property
    def known_before(self) -> list[State | None]:
        """For each item what is known of registers and temporaries before it; None if it is never obeyed."""
        nothing: State = dict.fromkeys((*self._meanings.sheet.registers, *self._temporaries), UNKNOWN)
        states: list[State | None] = [None] * (len(self.items) + 2)
        waiting = list(self.entries)
        for number in waiting:
            states[number] = nothing
        while waiting:
            number = waiting.pop()
            state = states[number] if number < len(self.items) else None
            if state is None or self.items[number].kind != ORDER:
                continue
            for each in self.onward[number]:
                after = self.known_on(number, each, state)
                before = states[each]
                joined = after if before is None else agreed(before, after)
                if joined != before:
                    states[each] = joined
                    waiting.append(each)
        return states[: len(self.items)]
