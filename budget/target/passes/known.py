"""Leave out, or write shorter, what is known beforehand: clearing what is clear, and numbers that one word makes."""

from budget.target.code import ORDER, Draft, Item, Literal, Ref
from budget.target.editing import changed, renamed
from budget.target.flow import Flow
from budget.target.knowing import Known, State
from budget.target.meaning import WORD
from budget.target.meanings import Names
from budget.target.passes.choices import Choices


def idle(draft: Draft, choices: Choices) -> Draft | None:
    """The program without orders that leave everything as it is known to be."""
    flow = choices.flow(draft)
    instead: dict[int, list[Item]] = {}
    for number, item in enumerate(draft.items):
        state = flow.known_before[number]
        if item.kind != ORDER or item.is_fixed or state is None:
            continue
        if item.operand is not None:
            if not flow.guarded[number] and _is_idle(item, flow, number, state, choices):
                instead[number] = []
            continue
        names = _at_work(item.names, state, choices)
        if names != item.names and (names or not flow.guarded[number]):
            instead[number] = [renamed(item, names)] if names else []
    return changed(draft, instead) if instead else None


def _is_idle(item: Item, flow: Flow, number: int, state: State, choices: Choices) -> bool:
    """Whether an order on a word leaves every register as it was, as far as anybody asks."""
    what = flow.meaning(item)
    if not what.is_plain or not what.changes or not set(what.changes) <= set(choices.sheet.registers):
        return False
    asked = [name for name in what.changes if name in flow.asked_after[number]]
    if not asked or any(state[name][1] != flow.full(name) for name in asked):
        return False
    after = flow.known(number, state)
    return all(_same(state[name], after[name], choices.sheet.registers[name]) for name in asked)


def _at_work(names: Names, state: State, choices: Choices) -> Names:
    """The orders of a word that change something, for all that is known."""
    registers = choices.sheet.registers
    now = state
    left = []
    for part in choices.meanings.parts(names):
        what = choices.meanings.meaning_of(part.effect)
        after, _ = choices.meanings.after(part.effect, now)
        is_idle = (
            what.is_plain
            and what.changes
            and all(_same(now.get(name), after[name], registers.get(name)) for name in what.changes)
        )
        if not is_idle:
            left.append(part.name)
        now = after
    kept = tuple(name for name in names if name in left)
    return kept if not kept or choices.meanings.effect(kept) is not None else names


def _same(before: Known | None, after: Known, bits: int | None) -> bool:
    """Whether a register is known to hold the same as before."""
    if before is None or bits is None:
        return False
    full = (1 << bits) - 1
    return before[1] == after[1] == full and before[0] == after[0]


def made(draft: Draft, choices: Choices) -> Draft | None:
    """The program with numbers made by one word without an address, wherever there is such a word."""
    flow = choices.flow(draft)
    instead: dict[int, list[Item]] = {}
    for number, item in enumerate(draft.items):
        state = flow.known_before[number]
        if item.kind != ORDER or item.is_fixed or item.operand is None or state is None:
            continue
        new = _made(item, flow, number, state, choices)
        if new is not None:
            instead[number] = [new]
    return changed(draft, instead) if instead else None


def _made(item: Item, flow: Flow, number: int, state: State, choices: Choices) -> Item | None:
    """What makes of a register the number that an order makes of it: a word without an address, or a constant."""
    what = flow.meaning(item)
    later = flow.asked_after[number]
    asked = [name for name in what.changes if name in later]
    if not what.is_plain or WORD in what.changes or len(asked) != 1 or item.is_indirect:
        return None
    register = asked[0]
    full = (1 << choices.sheet.registers[register]) - 1
    value, mask = flow.known(number, state)[register]
    if mask != full:
        return None
    is_clear = state[register] == (0, full)
    names = choices.maker(register, value, is_clear=is_clear, asked=later)
    if names is not None:
        return renamed(item, names)
    if is_clear and item.names == (choices.loaders.get(register),) and isinstance(item.operand, Ref):
        return Item(ORDER, item.line, list(item.labels), item.names, Literal(Ref("", value)))
    return None


def folded(draft: Draft, choices: Choices) -> Draft | None:
    """The program with two orders that make a number replaced by one that loads it."""
    flow = choices.flow(draft)
    for number in range(len(draft.items) - 1):
        new = _fold(draft, flow, number, choices)
        if new is not None:
            return changed(draft, {number: [new], number + 1: []})
    return None


def _fold(draft: Draft, flow: Flow, number: int, choices: Choices) -> Item | None:
    first, second = draft.items[number], draft.items[number + 1]
    before, between = flow.known_before[number], flow.known_before[number + 1]
    pair = (first, second)
    if before is None or between is None or second.labels or flow.guarded[number] or flow.guarded[number + 1]:
        return None
    if any(item.kind != ORDER or item.is_fixed or not _only_registers(item, flow) for item in pair):
        return None
    later = flow.asked_after[number + 1]
    asked = {name for item in pair for name in flow.meaning(item).changes if name in later}
    if len(asked) != 1:
        return None
    register = asked.pop()
    loader = choices.loaders.get(register)
    full = (1 << choices.sheet.registers[register]) - 1
    value, mask = flow.known(number + 1, between)[register]
    if loader is None or mask != full or before[register] != (0, full):
        return None
    if set(flow.meaning(Item(ORDER, 0, names=(loader,))).changes) - {register} & later:
        return None
    return Item(ORDER, first.line, list(first.labels), (loader,), Literal(Ref("", value)))


def _only_registers(item: Item, flow: Flow) -> bool:
    what = flow.meaning(item)
    return what.is_plain and WORD not in what.changes and bool(what.changes)
