"""Let orders that come again and again be a subroutine, where that takes fewer words."""

from collections import defaultdict

from budget.target.code import LINK, ORDER, Draft, Item, Ref
from budget.target.editing import relabelled
from budget.target.flow import Flow
from budget.target.passes.choices import Choices
from budget.target.passes.likeness import Likeness

LONGEST = 12
"""Orders of a subroutine that is looked for."""
AROUND = 2
"""Words that a subroutine takes besides its orders: its link, and the jump back."""


def outlined(draft: Draft, choices: Choices) -> Draft | None:
    """The program with the repeated orders that save most made a subroutine."""
    if choices.jump is None or choices.call is None:
        return None
    flow = choices.flow(draft)
    likeness = Likeness(flow)
    best: tuple[int, int, list[int]] = (0, 0, [])
    for length in range(2, LONGEST + 1):
        for places in _repeated(likeness, length):
            saved = len(places) * (length - 1) - length - AROUND
            if (saved, -length) > (best[0], -best[1]) and saved > 0:
                best = (saved, length, places)
    return _with_routine(draft, best[2], best[1], choices.jump, choices.call) if best[0] else None


def _repeated(likeness: Likeness, length: int) -> list[list[int]]:
    """Where rows of orders begin that are alike and can be cut out, without overlapping."""
    alike: dict[tuple[int, ...], list[int]] = defaultdict(list)
    for begin in range(len(likeness.kinds) - length + 1):
        alike[tuple(likeness.kinds[begin : begin + length])].append(begin)
    found: list[list[int]] = []
    for begins in alike.values():
        places: list[int] = []
        for begin in begins if len(begins) > 1 else ():
            if not places or places[-1] + length <= begin:
                places += [begin] if _can_be_cut(likeness, begin, begin + length - 1) else []
        found += [places] if len(places) > 1 else []
    return sorted(found)


def _can_be_cut(likeness: Likeness, first: int, last: int) -> bool:
    """Whether orders are entered at the first only, and go on after the last only."""
    flow = likeness.flow
    if flow.guarded[first] or any(likeness.tokens[number] is None for number in range(first, last + 1)):
        return False
    if not likeness.is_closed(first, last):
        return False
    inside = range(first, last + 1)
    ways_out = set[int]()
    for number in inside:
        what = flow.meaning(flow.items[number])
        if what.halts or what.links:
            return False
        ways_out.update(each for each in flow.onward[number] if each not in inside)
        if number > first and any(each not in inside for each in flow.before[number]):
            return False
    return ways_out == {last + 1} and not any(_is_named(flow, number) for number in inside[1:])


def _is_named(flow: Flow, number: int) -> bool:
    return any("." not in label for label in flow.items[number].labels)


def _with_routine(draft: Draft, places: list[int], length: int, jump: str, call: str) -> Draft:
    """The program with calls in place of some orders, and the subroutine at the end."""
    number = sum(item.kind == LINK for item in draft.items)
    link = Ref(f"routine.{number}.link")
    begin = places[0]
    body = [relabelled(item, list(item.labels)) for item in draft.items[begin : begin + length]]
    body[0].labels = [label for label in body[0].labels if _named_within(draft, label, begin, length)]
    back = Item(ORDER, body[-1].line, names=(jump,), operand=link, is_indirect=True)
    routine = [Item(LINK, body[0].line, [link.label]), *body, back]
    items: list[Item] = []
    at = 0
    while at < len(draft.items):
        if at in places:
            labels = [label for label in draft.items[at].labels if at != begin or label not in body[0].labels]
            items.append(Item(ORDER, draft.items[at].line, labels, (call,), link))
            at += length
        else:
            items.append(draft.items[at])
            at += 1
    return draft._replace(items=[*items, *routine])


def _named_within(draft: Draft, label: str, begin: int, length: int) -> bool:
    """Whether a label of the first order is one that a loop within the orders goes back to."""
    users = [number for number, item in enumerate(draft.items) if item.operand == Ref(label)]
    return bool(users) and all(begin <= number < begin + length for number in users)
