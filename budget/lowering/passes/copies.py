"""A word that is only a copy of another is not kept: what would read it reads the other."""

from collections.abc import Iterator, Sequence

from budget.lowering.passes.flow import READS, WRITES, Flow, flow_of, is_modified, single_words, start_of
from budget.lowering.passes.workspace import live_words
from budget.lowering.text import Row


def without_copies(rows: list[Row]) -> list[Row]:
    """Without the first copy that can be done without; the same rows if there is none."""
    flow = flow_of(rows)
    single = single_words(rows)
    live = live_words(rows, flow, single)
    for at in range(len(rows) - 1):
        source, copy = _copied(rows, at, single)
        readers = readers_of(rows, flow, live, at + 2, source, copy) if source else None
        if readers is None or readers & read_from_elsewhere(rows, flow, at + 1, copy):
            continue
        renamed = [
            row._replace(operand=source) if number in readers else row for number, row in enumerate(rows)
        ]
        return [*renamed[: at + 1], *renamed[at + 2 :]]
    return rows


def _copied(rows: Sequence[Row], at: int, single: set[str]) -> tuple[str, str]:
    """The word that a row loads and the one in which the next stores it; empty names for any other rows."""
    first, second = rows[at], rows[at + 1]
    is_copy = (first.order, second.order) == ("load", "store") and {first.operand, second.operand} <= single
    if not is_copy or is_modified(rows, at) or second.labels or first.operand == second.operand:
        return "", ""
    return first.operand, second.operand


def readers_of(
    rows: Sequence[Row], flow: Flow, live: Sequence[set[str]], begin: int, source: str, copy: str
) -> set[int] | None:
    """The rows that read a copy, from a row on; None if the source may have changed by then, or the copy is counted."""
    readers: set[int] = set()
    for at in _until_written(rows, flow, [begin], copy):
        row = rows[at]
        if row.operand == copy and row.order in READS:
            readers.add(at)
            if row.order in WRITES:
                return None
        is_needed = any(copy in live[following] for following in flow.after(at))
        if row.operand == source and row.order in WRITES and is_needed:
            return None
    return readers


def read_from_elsewhere(rows: Sequence[Row], flow: Flow, store: int, copy: str) -> set[int]:
    """The rows that may read a word as it was left by another row than this one, or at the start."""
    others = [start_of(rows)]
    for at, row in enumerate(rows):
        if row.operand == copy and row.order in WRITES and at != store:
            others.extend(flow.after(at))
    return {at for at in _until_written(rows, flow, others, copy) if rows[at].operand == copy}


def _until_written(rows: Sequence[Row], flow: Flow, begins: Sequence[int], word: str) -> Iterator[int]:
    """The rows that may come before a word is written anew, the one that writes it included."""
    waiting, seen = list(begins), set[int]()
    while waiting:
        at = waiting.pop()
        if at in seen:
            continue
        seen.add(at)
        yield at
        if not (rows[at].operand == word and rows[at].order in WRITES):
            waiting.extend(flow.after(at))
