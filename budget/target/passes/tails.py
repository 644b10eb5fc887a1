"""Let ends that are alike be written once: the others jump to it."""

from budget.target.code import ORDER, Draft, Item, Ref
from budget.target.editing import relabelled
from budget.target.flow import Flow
from budget.target.passes.choices import Choices
from budget.target.passes.likeness import Likeness


def shared_ends(draft: Draft, choices: Choices) -> Draft | None:
    """The program with the two longest ends that are alike made one."""
    if choices.jump is None:
        return None
    flow = choices.flow(draft)
    likeness = Likeness(flow)
    ends = [
        number
        for number, item in enumerate(draft.items)
        if item.kind == ORDER and _is_end(item, flow) and not flow.guarded[number]
    ]
    best = (0, 0, 0, 0)
    for place, kept in enumerate(ends):
        for lost in ends[place + 1 :]:
            length = _same_before(likeness, kept, lost)
            saved = length - (0 if _begins(flow, lost - length + 1) else 1)
            best = max(best, (saved, length, -kept, -lost))
    saved, length, kept, lost = best[0], best[1], -best[2], -best[3]
    return _joined(draft, flow, kept, lost, length, choices.jump) if saved > 0 else None


def _is_end(item: Item, flow: Flow) -> bool:
    what = flow.meaning(item)
    return (not what.stays and not what.links) or what.halts


def _begins(flow: Flow, number: int) -> bool:
    """Whether nothing runs into an item from above, nor comes back to it from a subroutine."""
    if number and flow.items[number - 1].kind == ORDER and flow.meaning(flow.items[number - 1]).links:
        return False
    return not any(number in flow.onward[each] for each in (number - 1, number - 2) if each >= 0)


def _same_before(likeness: Likeness, kept: int, lost: int) -> int:
    """How many items up to `kept` are the same as those up to `lost`, so that those may be left out."""
    best = length = 0
    while length < min(kept + 1, lost - kept):
        one, other = kept - length, lost - length
        if likeness.tokens[one] is None or likeness.tokens[one] != likeness.tokens[other]:
            break
        length += 1
        is_whole = likeness.is_closed(one, kept) and likeness.is_closed(other, lost)
        if is_whole and not likeness.flow.guarded[other]:
            best = length
    return best


def _joined(draft: Draft, flow: Flow, kept: int, lost: int, length: int, jump: str) -> Draft:
    """The program in which the end up to `lost` is the one up to `kept`."""
    items = [relabelled(item, list(item.labels)) for item in draft.items]
    first = kept - length + 1
    for number in range(length):
        items[first + number].labels += items[lost - length + 1 + number].labels
    if not items[first].labels:
        items[first].labels.append(f"end.{first}.{len(items)}")
    target = Ref(items[first].labels[0])
    instead = (
        []
        if _begins(flow, lost - length + 1)
        else [Item(ORDER, items[lost].line, names=(jump,), operand=target)]
    )
    return draft._replace(items=[*items[: lost - length + 1], *instead, *items[lost + 1 :]])
