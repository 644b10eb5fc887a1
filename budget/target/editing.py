"""Changes to the items of a draft that keep its labels."""

from collections.abc import Collection, Mapping, Sequence

from budget.target.code import Draft, Item


def without(draft: Draft, numbers: Collection[int]) -> Draft:
    """A draft without some items; their labels go to the item after them."""
    return changed(draft, dict.fromkeys(numbers, ()))


def changed(draft: Draft, instead: Mapping[int, Sequence[Item]]) -> Draft:
    """A draft with other items in place of some, which inherit their labels."""
    items: list[Item] = []
    waiting: list[str] = []
    for number, item in enumerate(draft.items):
        new = instead.get(number)
        if new is None:
            items.append(item if not waiting else relabelled(item, [*waiting, *item.labels]))
            waiting = []
            continue
        waiting += item.labels
        for each in new:
            items.append(
                relabelled(each, [*waiting, *(label for label in each.labels if label not in waiting)])
            )
            waiting = []
    if waiting:
        items.append(Item("space", 0, waiting, size=0))
    return draft._replace(items=items)


def relabelled(item: Item, labels: list[str]) -> Item:
    """A copy of an item with other labels."""
    return Item(
        item.kind,
        item.line,
        labels,
        item.names,
        item.operand,
        item.is_indirect,
        item.values,
        item.size,
        item.leads_to,
        item.is_fixed,
        item.place,
    )


def renamed(item: Item, names: tuple[str, ...]) -> Item:
    """A copy of an order with other names and no operand."""
    return Item(item.kind, item.line, list(item.labels), names)
