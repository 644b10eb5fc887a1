"""Jumps to the next order, to jumps, over jumps, and orders that nothing leads to."""

from budget.target.code import LINK, ORDER, Draft, Item, Ref
from budget.target.editing import changed, relabelled, renamed, without
from budget.target.flow import Flow
from budget.target.passes.choices import Choices


def unreached(draft: Draft, choices: Choices) -> Draft | None:
    """The program without orders that are never obeyed."""
    reached = choices.flow(draft).reached()
    lost = [
        number
        for number, item in enumerate(draft.items)
        if item.kind in (ORDER, LINK) and number not in reached and not item.is_fixed
    ]
    return without(draft, lost) if lost else None


def straight(draft: Draft, choices: Choices) -> Draft | None:
    """The program with jumps to jumps going where those go."""
    flow = choices.flow(draft)
    instead: dict[int, list[Item]] = {}
    for number, item in enumerate(draft.items):
        target = _target(item, flow, choices)
        if target is None:
            continue
        last = draft.items[target]
        if (
            target != number
            and last.names == item.names
            and not last.is_fixed
            and last.operand != item.operand
        ):
            new = relabelled(last, list(item.labels))
            new.is_fixed = item.is_fixed
            if not (item.is_fixed and new.is_indirect) and _target(last, flow, choices) != target:
                instead[number] = [new]
    return changed(draft, instead) if instead else None


def _target(item: Item, flow: Flow, choices: Choices) -> int | None:
    """The item to which a plain jump goes; None for any other order."""
    if (
        item.kind != ORDER
        or item.names != (choices.jump,)
        or item.is_indirect
        or not isinstance(item.operand, Ref)
    ):
        return None
    return flow.at[item.operand.label]


def onward(draft: Draft, choices: Choices) -> Draft | None:
    """The program without jumps to what follows anyway, and with skips turned round where that saves a jump."""
    flow = choices.flow(draft)
    for number, item in enumerate(draft.items):
        target = _target(item, flow, choices)
        if target is None or item.is_fixed or item.labels:
            continue
        skip = draft.items[number - 1] if number and flow.guarded[number] else None
        if target == number + 1 and skip is None:
            return without(draft, [number])
        if skip is None:
            continue
        turned = _turned(draft, flow, number, target, choices)
        if turned is not None:
            return turned
    return None


def _turned(draft: Draft, flow: Flow, number: int, target: int, choices: Choices) -> Draft | None:
    """A skip over a jump to what follows anyway, or over one order, without the jump; None for any other.

    ``SKIP; JMP a; a:`` becomes nothing, and ``SKIP; JMP a; ORDER; a:`` becomes ``OPPOSITE; ORDER; a:``.
    """
    skip = draft.items[number - 1]
    if target == number + 1:
        rest = tuple(name for name in skip.names if not choices.meanings.meaning((name,)).skips)
        if skip.operand is not None or (flow.guarded[number - 1] and not rest):
            return None
        return changed(draft, {number - 1: [renamed(skip, rest)] if rest else [], number: []})
    following = draft.items[number + 1]
    if target != number + 2 or following.kind != ORDER or following.labels or following.is_fixed:
        return None
    opposite = choices.opposite(skip.names)
    if opposite is None:
        return None
    new = Item(ORDER, skip.line, list(skip.labels), opposite)
    return changed(draft, {number - 1: [new], number: []})
