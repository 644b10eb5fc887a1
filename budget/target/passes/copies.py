"""Leave out the loading of what is there already."""

from budget.target.code import ORDER, Draft, Item, Ref
from budget.target.editing import without
from budget.target.flow import Flow
from budget.target.meaning import ELSEWHERE, WORD
from budget.target.passes.choices import Choices

Words = frozenset[Ref]


def reloaded(draft: Draft, choices: Choices) -> Draft | None:
    """The program without clearing and loading where the register holds that word already."""
    flow = choices.flow(draft)
    for register, loader in choices.loaders.items():
        held = _held(draft, flow, register, loader)
        full = (1 << choices.sheet.registers[register]) - 1
        for number in range(len(draft.items) - 1):
            first, second = draft.items[number], draft.items[number + 1]
            words = held[number]
            if words is None or second.labels or flow.guarded[number] or flow.guarded[number + 1]:
                continue
            is_clearing = first.operand is None and first.kind == ORDER and flow.meaning(first).is_plain
            if not is_clearing or set(flow.meaning(first).changes) != {register} or first.is_fixed:
                continue
            cleared = flow.known_before[number + 1]
            is_load = second.kind == ORDER and second.names == (loader,) and not second.is_indirect
            if is_load and cleared and cleared[register] == (0, full) and second.operand in words:
                return without(draft, [number, number + 1])
    return None


def _held(draft: Draft, flow: Flow, register: str, loader: str) -> list[Words | None]:
    """For each item the words that are sure to equal a register before it; None if it is never obeyed."""
    held: list[Words | None] = [None] * (len(draft.items) + 2)
    waiting = list(flow.entries)
    for number in waiting:
        held[number] = frozenset()
    while waiting:
        number = waiting.pop()
        words = held[number]
        if words is None or number >= len(draft.items) or draft.items[number].kind != ORDER:
            continue
        after = _after(draft.items[number], flow, number, words, register, loader)
        for each in flow.onward[number]:
            before = held[each]
            joined = after if before is None else before & after
            if joined != before:
                held[each] = joined
                waiting.append(each)
    return held


def _after(item: Item, flow: Flow, number: int, words: Words, register: str, loader: str) -> Words:
    what = flow.meaning(item)
    if register in what.changes:
        state = flow.known_before[number]
        is_load = item.names == (loader,) and not item.is_indirect and isinstance(item.operand, Ref)
        if (
            is_load
            and state is not None
            and state[register][0] == 0
            and _is_known(state[register], flow, register)
        ):
            assert isinstance(item.operand, Ref)
            return frozenset({item.operand})
        return frozenset()
    if not {WORD, ELSEWHERE} & set(what.changes):
        return words
    if ELSEWHERE in what.changes or item.is_indirect or not isinstance(item.operand, Ref):
        return frozenset()
    return words - {item.operand}


def _is_known(known: tuple[int, int], flow: Flow, register: str) -> bool:
    return known[1] == flow.full(register)
