"""Words of workspace that are never needed at the same time become one word."""

from collections.abc import Sequence

from budget.lowering.passes.flow import READS, WRITES, Flow, flow_of, single_words
from budget.lowering.text import Row


def together(rows: Sequence[Row], workspace: Sequence[Row]) -> list[Row]:
    """The workspace with as few single words as colouring finds: words that share one are labels of it."""
    single = _single(rows, workspace)
    apart = _apart(rows, single)
    colours: dict[str, int] = {}
    for name in sorted(single, key=lambda name: (-len(apart[name]), name)):
        taken = {colours[other] for other in apart[name] if other in colours}
        colours[name] = next(colour for colour in range(len(single)) if colour not in taken)
    groups: dict[int, list[Row]] = {}
    kept: list[Row] = []
    for row in workspace:
        if row.labels and row.labels[0] in colours:
            groups.setdefault(colours[row.labels[0]], []).append(row)
        else:
            kept.append(row)
    shared = []
    for group in groups.values():
        labels = tuple(label for row in group for label in row.labels)
        remarks = [row.remark for row in group if row.remark]
        shared.append(Row(labels, "space", "1", remarks[0] if len(group) == 1 and remarks else ""))
    return [*shared, *kept]  # tables last: the word before a table is a word, too


def _single(rows: Sequence[Row], workspace: Sequence[Row]) -> set[str]:
    """The words that are only ever used by their own name, and not as the beginning of a table."""
    alone = {row.labels[0] for row in workspace if row.operand == "1" and len(row.labels) == 1}
    return alone & single_words(rows)


def _apart(rows: Sequence[Row], single: set[str]) -> dict[str, set[str]]:
    """For each word those that hold something while it is written."""
    flow = flow_of(rows)
    live = live_words(rows, flow, single)
    apart: dict[str, set[str]] = {name: set() for name in single}
    for at, row in enumerate(rows):
        if row.order in WRITES and row.operand in single:
            for other in _needed_after(flow, live, at) - {row.operand}:
                apart[row.operand].add(other)
                apart[other].add(row.operand)
    return apart


def live_words(rows: Sequence[Row], flow: Flow, single: set[str]) -> list[set[str]]:
    """For each row the words that are still to be read when it begins, before they are written anew.

    Sets of words are kept as bits while they grow; rows are taken from the end, since need goes backwards.
    """
    names = sorted(single)
    bit = {name: 1 << place for place, name in enumerate(names)}
    reads = [bit.get(row.operand, 0) if row.order in READS else 0 for row in rows]
    stays = [~bit.get(row.operand, 0) if row.order in WRITES else -1 for row in rows]
    after = [flow.after(at) for at in range(len(rows))]
    before: list[list[int]] = [[] for _ in rows]
    for at, following in enumerate(after):
        for each in following:
            before[each].append(at)
    live = [0] * len(rows)
    waiting = list(range(len(rows)))
    while waiting:
        at = waiting.pop()
        needed = 0
        for each in after[at]:
            needed |= live[each]
        needed = needed & stays[at] | reads[at]
        if needed != live[at]:
            live[at] = needed
            waiting += before[at]
    sets = {bits: {name for name in names if bits & bit[name]} for bits in set(live)}
    return [sets[bits] for bits in live]


def _needed_after(flow: Flow, live: list[set[str]], at: int) -> set[str]:
    return set().union(*(live[each] for each in flow.after(at)))
