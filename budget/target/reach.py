"""Whether orders lead through words that will lie too far away, told before a program is made as short as it gets.

To make it short takes nearly all the time that an expansion takes, and would be in vain.
"""

from collections.abc import Iterator

from budget.target.code import ORDER, Draft, Item, Ref
from budget.target.place import length, runs_of
from budget.target.sheet import Sheet

FEWEST = 4
"""Of the orders between an order and a word one in so many is taken to stay when they are made fewer.

Programs that were written by Wordtight keep three in four; data stay as they are.  A program that is wrongly taken to
lead too far does the same, in some words more.
"""


def leads_too_far(draft: Draft, sheet: Sheet) -> bool:
    """Whether some order leads through a word a page or more away, in data that page zero cannot hold."""
    if not sheet.page_words:
        return False
    items = [item for item in draft.items if item.place is None]
    far = dict(_far_words(items, sheet.page_words - sheet.first_word))
    behind = 0
    for item in reversed([each for each in items if each.is_code]):
        if item.kind == ORDER and item.is_indirect and isinstance(item.operand, Ref):
            offset = far.get(item.operand.label)
            if offset is not None and offset + behind // FEWEST >= sheet.page_words:
                return True
        behind += item.size
    return False


def _far_words(items: list[Item], room: int) -> Iterator[tuple[str, int]]:
    """Labels in data that is longer than some room, and how many words stand before each.

    They come to lie behind all orders, but for those in page zero, to which they are as far away.
    """
    for run in runs_of(items):
        if run[0].is_code or length(run) <= room:
            continue
        before = 0
        for item in run:
            for label in item.labels:
                yield label, before
            before += item.size
