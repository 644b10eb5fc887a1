"""The graph of an expanded program: which order may follow which, what is asked for later, what is known before.

Temporaries count as registers: their addresses are never taken, so nothing else can change them.
"""

from functools import cached_property
from heapq import heapify, heappop, heappush

from budget.target.code import ORDER, Draft, Item, Ref
from budget.target.facts import Facts
from budget.target.knowing import UNKNOWN, State
from budget.target.meaning import ELSEWHERE, WORD, Meaning
from budget.target.meanings import Meanings, own_name


class Flow:
    """The graph of a draft's items, as they are now.

    onward: for each item those that may follow it; guarded: whether the item before it may pass over it.
    """

    def __init__(self, draft: Draft, meanings: Meanings) -> None:
        self.items = draft.items
        self._draft = draft
        self._meanings = meanings
        self._temporaries = frozenset(draft.temporaries.values())
        self._kept = self._temporaries.union(meanings.sheet.registers)
        self._word_mask = (1 << meanings.sheet.word_bits) - 1
        self._memory = meanings.memory
        self._alike = 0
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

    @cached_property
    def _facts(self) -> list[Facts | None]:
        """What is sure of each order, wherever it stands; None for what is no order."""
        return [
            self._meanings.facts(item, is_temporary=self._is_temporary(item)) if item.kind == ORDER else None
            for item in self.items
        ]

    def _is_temporary(self, item: Item) -> bool:
        return isinstance(item.operand, Ref) and item.operand.label in self._temporaries

    def facts(self, number: int) -> Facts:
        """What is sure of the order with this number."""
        facts = self._facts[number]
        assert facts is not None, "only orders are asked about"
        return facts

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
        """Where the program may be entered from nowhere that is known; one without orders begins nowhere."""
        begins = {self.at[self._draft.start]} if self._draft.start in self.at else set()
        return sorted(begins | {self.at[label] for label in self._draft.taken})

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
        is_own = self._is_temporary(item) and not item.is_indirect
        return own_name(name, item.operand.label if isinstance(item.operand, Ref) and is_own else None)

    def asked_before(self, number: int, later: frozenset[str]) -> frozenset[str]:
        """The registers and temporaries that matter before an item, if those of `later` matter after it."""
        facts = self._facts[number]
        if facts is None:
            return later
        return self._memory.asked(facts, later)

    @cached_property
    def asked_after(self) -> list[frozenset[str]]:
        """For each item the registers and temporaries that matter after it."""
        after = [frozenset[str]()] * len(self.items)
        before = [frozenset[str]()] * (len(self.items) + 2)
        waiting = [-number for number, item in enumerate(self.items) if item.kind == ORDER]
        heapify(waiting)  # the last in the text comes first: most of what follows an item stands behind it
        while waiting:
            number = -heappop(waiting)
            while waiting and waiting[0] == -number:
                heappop(waiting)
            after[number] = _joined([before[each] for each in self.onward[number]])
            found = self.asked_before(number, after[number])
            if found != before[number]:
                before[number] = found
                for each in self.before[number]:
                    heappush(waiting, -each)
        return after

    # -- what is known ------------------------------------------------------------------------

    def known(self, number: int, state: State) -> State:
        """What is known after an order, from what was known before it."""
        facts, memory = self.facts(number), self._memory
        if not memory.holds(state):
            return self._found(facts, state)
        key = (id(facts), id(state), self._alike)
        return memory.remembered(key, lambda: self._found(facts, state))

    def _found(self, facts: Facts, state: State) -> State:
        holds = facts.holds
        if holds is None:
            holds = state.get(str(facts.word), UNKNOWN)
        registers, word = self._meanings.after(facts.effect, state, holds)
        found = {**self._still_known(facts, state), **registers}
        if WORD in facts.meaning.changes and facts.word is not None:
            found[facts.word] = word
        return found

    def known_on(self, number: int, onward: int, after: State) -> State:
        """The same on the way to one of those that may follow: a register that was tested is known to be 0 there."""
        tests = self.facts(number).tests
        if tests is None or onward != number + tests[1] or tests[0] not in self._meanings.sheet.registers:
            return after
        register, full = tests[0], self.full(tests[0])
        if full > self._word_mask:
            return after
        if not self._memory.holds(after):
            return {**after, register: (0, full)}
        return self._memory.remembered((id(after), register), lambda: {**after, register: (0, full)})

    def _still_known(self, facts: Facts, state: State) -> State:
        """What is known of words that an order cannot have changed."""
        changes, changed = facts.meaning.changes, facts.word
        if WORD not in changes and ELSEWHERE not in changes:
            return state
        if ELSEWHERE in changes or changed is None:
            return {name: value for name, value in state.items() if name in self._kept}
        return {name: value for name, value in state.items() if self._is_apart(name, changed)}

    def _is_apart(self, name: str, changed: str) -> bool:
        """Whether two words are sure to be different ones."""
        if name in self._kept or changed in self._temporaries:
            return name != changed
        places = (self.at.get(name), self.at.get(changed))
        return None not in places and places[0] != places[1]

    @cached_property
    def known_before(self) -> list[State | None]:
        """For each item what is known of registers and temporaries before it; None if it is never obeyed."""
        memory = self._memory
        memory.begin()
        self._alike = memory.number_of(
            frozenset(tuple(item.labels) for item in self.items if item.labels[1:])
        )
        registers = (*self._meanings.sheet.registers, *sorted(self._temporaries))
        nothing = memory.once(dict.fromkeys(registers, UNKNOWN))
        states: list[State | None] = [None] * (len(self.items) + 2)
        waiting = list(self.entries)
        for number in waiting:
            states[number] = nothing
        heapify(waiting)  # the first in the text comes first: most of what leads to an item stands before it
        while waiting:
            number = heappop(waiting)
            while waiting and waiting[0] == number:
                heappop(waiting)
            state = states[number] if number < len(self.items) else None
            if state is None or self.items[number].kind != ORDER:
                continue
            known = self.known(number, state)
            for each in self.onward[number]:
                after = self.known_on(number, each, known)
                before = states[each]
                joined = after if before is None else memory.agreed(before, after)
                if joined is not before:
                    states[each] = joined
                    heappush(waiting, each)
        return states[: len(self.items)]


def _joined(sets: list[frozenset[str]]) -> frozenset[str]:
    """All that is in some sets; where there is one, that itself, so that it is known again at once."""
    return sets[0] if len(sets) == 1 else frozenset[str]().union(*sets)
