"""What A is known to hold: loads and numbers that are there already need not be fetched again.

A *fact* is an order and its operand: to obey it would change nothing.
"""

from collections.abc import Iterator, Sequence

from budget.lowering.passes.flow import GOES_AWAY, Flow, flow_of, is_modified, start_of
from budget.lowering.text import Row

Facts = frozenset[tuple[str, str]]
NOTHING: Facts = frozenset()
ZERO = ("set", "0")
LEAVES_A = frozenset(
    {"ifzero", "ifnonzero", "ifminus", "output", "by", "high", "store", "jump", "call", "back"}
)
"""Orders after which A is what it was.  (A store by M writes A itself, so a word that A was equal to still is.)"""


def without_idle_loads(rows: list[Row]) -> list[Row]:
    """Without what brings into A what is there already."""
    return _without_idle(rows, _known_before(rows))


def without_idle_loads_nearby(rows: list[Row]) -> list[Row]:
    """The same, but for what is known across a label only, or from a count; what a routine leaves in A is not known."""
    known = [NOTHING] * len(rows)
    for at, row in enumerate(rows[:-1]):
        if not rows[at + 1].labels and row.order not in ("count", "call", *GOES_AWAY):
            is_zero = row.order == "ifnonzero"
            facts = _after(row, known[at], is_plain=not is_modified(rows, at))
            known[at + 1] = facts | {ZERO} if is_zero else facts
    return _without_idle(rows, known)


def _without_idle(rows: Sequence[Row], known: Sequence[Facts]) -> list[Row]:
    kept: list[Row] = []
    waiting: tuple[str, ...] = ()
    for at, row in enumerate(rows):
        if (row.order, row.operand) in known[at] and not is_modified(rows, at):
            waiting = (*waiting, *row.labels)
            continue
        kept.append(row._replace(labels=(*waiting, *row.labels)))
        waiting = ()
    return kept


def looked_up(rows: list[Row]) -> list[Row]:
    """With `look` where a word is loaded by an index that A holds already."""
    known = _known_before(rows)
    kept: list[Row] = []
    indexed: Row | None = None
    for at, row in enumerate(rows):
        if indexed is not None:
            kept.append(Row(indexed.labels, "look", row.operand, row.remark or indexed.remark))
            indexed = None
        elif _is_indexed(rows, at) and ("load", row.operand) in known[at]:
            indexed = row
        else:
            kept.append(row)
    return kept


def _is_indexed(rows: Sequence[Row], at: int) -> bool:
    """Whether a row is the only one that modifies the next, and that loads."""
    if rows[at].order != "by" or is_modified(rows, at):
        return False
    return rows[at + 1].order == "load" and not rows[at + 1].labels


def _known_before(rows: Sequence[Row]) -> list[Facts]:
    """The facts before each row, whichever way it was reached; none where it is never reached."""
    flow = flow_of(rows)
    known: list[Facts | None] = [None] * len(rows)
    begin = start_of(rows)
    known[begin] = NOTHING
    waiting = [begin]
    while waiting:
        at = waiting.pop()
        for following, facts in _onward(rows, flow, at, known[at] or NOTHING):
            before = known[following]
            joined = facts if before is None else before & facts
            if joined != before:
                known[following] = joined
                waiting.append(following)
    return [facts or NOTHING for facts in known]


def _onward(rows: Sequence[Row], flow: Flow, at: int, before: Facts) -> Iterator[tuple[int, Facts]]:
    """The rows that may come next, each with the facts on the way there."""
    row = rows[at]
    facts = _after(row, before, is_plain=not is_modified(rows, at))
    for following in flow.after(at):
        is_zero = (
            row.order == "ifnonzero" and following == at + 1 and row.operand not in rows[following].labels
        )
        yield following, facts | {ZERO} if is_zero else facts


def _after(row: Row, known: Facts, *, is_plain: bool) -> Facts:
    """The facts after a row, wherever it goes on."""
    if row.order in ("load", "set") and is_plain:
        return frozenset({(row.order, row.operand)})
    if row.order == "store" and is_plain:
        return known | {("load", row.operand)}
    if row.order == "count" and is_plain:
        return frozenset({("load", row.operand)})
    return known if row.order in LEAVES_A else NOTHING
