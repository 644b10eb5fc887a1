"""Let a word that tests also clear, where that is for nothing and saves a clearing later."""

from collections.abc import Callable

from budget.target.code import ORDER, Draft
from budget.target.flow import Flow
from budget.target.passes.choices import Choices
from budget.target.editing import changed, renamed

Pass = Callable[[Draft, Choices], Draft | None]


def cleared(draft: Draft, choices: Choices, after: tuple[Pass, ...]) -> Draft | None:
    """The program with one more test that clears a register, if it is shorter for that once `after` has been done."""
    flow = Flow(draft, choices.meanings)
    for number, item in enumerate(draft.items):
        if item.kind != ORDER or item.operand is not None or item.is_fixed or not flow.meaning(item).skips:
            continue
        for register in choices.sheet.registers:
            clear = choices.maker(register, 0, is_clear=False, asked=frozenset())
            if clear is None or not _helps(flow, number, register, choices):
                continue
            names = (*item.names, *clear)
            if choices.meanings.effect(names) is None or not set(clear).isdisjoint(item.names):
                continue
            shorter = _shorter(changed(draft, {number: [renamed(item, names)]}), draft, choices, after)
            if shorter is not None:
                return shorter
    return None


def _helps(flow: Flow, number: int, register: str, choices: Choices) -> bool:
    """Whether nobody asks for a register after a test, and some order after it clears it."""
    if register in flow.asked_after[number]:
        return False
    waiting, seen = list(flow.onward[number]), set[int]()
    while waiting:
        each = waiting.pop()
        if each in seen or each >= len(flow.items) or flow.items[each].kind != ORDER:
            continue
        seen.add(each)
        what = flow.meaning(flow.items[each])
        if register in what.changes:
            if flow.items[each].operand is None and len(what.changes[register]) == 0 and what.is_plain:
                return True
            continue
        waiting.extend(flow.onward[each])
    return False


def _shorter(new: Draft, old: Draft, choices: Choices, after: tuple[Pass, ...]) -> Draft | None:
    for step in after:
        new = step(new, choices) or new
    return new if sum(each.size for each in new.items) < sum(each.size for each in old.items) else None
