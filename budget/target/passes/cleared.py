"""Clear a register early, in a word that tests or before going back, where that saves clearing it later."""

from collections.abc import Callable

from budget.target.code import ORDER, Draft, Item
from budget.target.editing import changed, renamed
from budget.target.flow import Flow
from budget.target.meaning import Meaning
from budget.target.meanings import Names
from budget.target.passes.choices import Choices

Pass = Callable[[Draft, Choices], Draft | None]


def cleared(draft: Draft, choices: Choices, after: tuple[Pass, ...]) -> Draft | None:
    """The program with one more clearing, if it is shorter for that once `after` has been done."""
    flow = choices.flow(draft)
    clearings = {
        register: clear
        for register in choices.sheet.registers
        if (clear := choices.maker(register, 0, is_clear=False, asked=frozenset())) is not None
    }
    for number, item in enumerate(draft.items):
        if item.kind != ORDER or item.is_fixed:
            continue
        for register, clear in clearings.items():
            new = _with_clearing(item, flow, number, clear, choices)
            if not new or not _helps(flow, number, register):
                continue
            shorter = _shorter(changed(draft, {number: new}), draft, choices, after)
            if shorter is not None:
                return shorter
    return None


def _with_clearing(item: Item, flow: Flow, number: int, clear: Names, choices: Choices) -> list[Item]:
    """A test that clears too, or a clearing before an order that goes back; nothing for any other order."""
    what = flow.meaning(item)
    if item.operand is None and what.skips and set(clear).isdisjoint(item.names):
        names = (*item.names, *clear)
        return [renamed(item, names)] if choices.meanings.effect(names) is not None else []
    if (
        not what.stays
        and not what.needs
        and item.is_indirect
        and item.leads_to is None
        and not flow.guarded[number]
    ):
        return [Item(ORDER, item.line, names=clear), item]
    return []


def _helps(flow: Flow, number: int, register: str) -> bool:
    """Whether a clearing after an item harms nobody and may spare another one.

    Nobody may ask for the register after it, unless it is 0 there, and some order after it has to clear the register.
    Then an order can be left out only where an earlier clearing is no more asked for, or where something is known that
    was not; to try, and find that it is not so, costs a thousand times as much as to ask.
    """
    if any(_is_asked(flow, number, each, register) for each in flow.onward[number]):
        return False
    reached = _reached(flow, number, register)
    if not any(_only_clears(flow.items[each], flow, register) for each in reached):
        return False
    is_spared = register in flow.asked_after[number] and register not in flow.facts(number).always
    return is_spared or _is_news(flow, number, register, reached)


def _only_clears(item: Item, flow: Flow, register: str) -> bool:
    what = flow.meaning(item)
    return item.operand is None and what.is_plain and what.changes.get(register) == frozenset()


def _is_news(flow: Flow, number: int, register: str, reached: set[int]) -> bool:
    """Whether a register is 0, and was not known to be, before an order that is reached and on which that bears."""
    sure = reached - set(flow.entries)
    while True:
        unsure = {
            each
            for each in sure
            if not all(
                before == number
                or (before in sure and register not in flow.meaning(flow.items[before]).changes)
                or _is_zero(flow, before, each, register)
                for before in flow.before[each]
            )
        }
        if not unsure:
            break
        sure -= unsure
    full = (0, flow.full(register))
    return any(
        _bears_on(flow.meaning(flow.items[each]), register)
        and (state := flow.known_before[each]) is not None
        and state[register] != full
        for each in sure
    )


def _reached(flow: Flow, number: int, register: str) -> set[int]:
    """The orders that may be come to after an item before a register is changed."""
    waiting, reached = list(flow.onward[number]), set[int]()
    while waiting:
        each = waiting.pop()
        if each in reached or each >= len(flow.items) or flow.items[each].kind != ORDER:
            continue
        reached.add(each)
        if register not in flow.meaning(flow.items[each]).changes:
            waiting.extend(flow.onward[each])
    return reached


def _is_zero(flow: Flow, number: int, onward: int, register: str) -> bool:
    """Whether a register is known to be 0 if one order follows another, or it never does."""
    state = flow.known_before[number]
    if state is None:
        return True
    return flow.known_on(number, onward, flow.known(number, state))[register] == (0, flow.full(register))


def _bears_on(what: Meaning, register: str) -> bool:
    """Whether an order does anything with a register, or looks at it."""
    return (
        register in what.changes
        or register in what.needs
        or any(register in each for each in what.changes.values())
    )


def _is_asked(flow: Flow, number: int, onward: int, register: str) -> bool:
    """Whether it matters what a register holds, if one order follows another, for all that is known there."""
    if onward >= len(flow.items):
        return False
    if flow.known_before[number] is None:
        return True
    is_zero = _is_zero(flow, number, onward, register)
    return not is_zero and register in flow.asked_before(onward, flow.asked_after[onward])


def _shorter(new: Draft, old: Draft, choices: Choices, after: tuple[Pass, ...]) -> Draft | None:
    for step in after:
        new = step(new, choices) or new
    return new if sum(each.size for each in new.items) < sum(each.size for each in old.items) else None
