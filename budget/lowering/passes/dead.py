"""What is brought into A and never asked for is left out."""

from collections.abc import Sequence

from budget.lowering.passes.flow import BRANCHES, MODIFIES, flow_of
from budget.lowering.text import Row

BRINGS = frozenset({"load", "set", "look", "and", "left", "right", "negate", "carry"})
"""Orders that change A and nothing else."""
WRITES_A = frozenset({"load", "set", "count", "carry", "input"})
"""Orders to which it is all one what stood in A."""
ASKS_A = frozenset(
    {"store", "add", "subtract", "and", "look", "plus", "negate", "output", "left", "right", *BRANCHES}
)


def without_unasked(rows: list[Row]) -> list[Row]:
    """Without orders whose A nobody asks for; a `by` goes with its order."""
    asked = _asked_after(rows)
    gone: set[int] = set()
    for at, row in enumerate(rows):
        if row.order in BRINGS and not asked[at]:
            gone.add(at)
            before = at - 1
            while before >= 0 and rows[before].order in MODIFIES:
                gone.add(before)
                before -= 1
    kept: list[Row] = []
    labels: tuple[str, ...] = ()
    for at, row in enumerate(rows):
        if at in gone:
            labels = (*labels, *row.labels)
            continue
        kept.append(row._replace(labels=(*labels, *row.labels)))
        labels = ()
    return kept


def _asked_after(rows: Sequence[Row]) -> list[bool]:
    """For each row whether somebody may ask for A as it leaves it."""
    flow = flow_of(rows)
    before: list[set[int]] = [set() for _ in rows]
    for at in range(len(rows)):
        for following in flow.after(at):
            before[following].add(at)
    asked = [False] * len(rows)
    waiting = [at for at, row in enumerate(rows) if row.order in ASKS_A]
    seen = set(waiting)
    while waiting:
        at = waiting.pop()
        for earlier in before[at]:
            asked[earlier] = True
            if rows[earlier].order not in WRITES_A and earlier not in seen:
                seen.add(earlier)
                waiting.append(earlier)
    return asked
