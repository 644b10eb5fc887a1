"""A number that is added to an index before it is kept is added to the addresses instead, by the assembler."""

import re
from collections.abc import Sequence

from budget.lowering.passes.copies import read_from_elsewhere, readers_of
from budget.lowering.passes.flow import READS, WRITES, Flow, flow_of, is_modified, single_words
from budget.lowering.passes.workspace import live_words
from budget.lowering.text import Row

_INDEXED = (READS | WRITES) - {"by"}
_ADDRESS = re.compile(r"([A-Za-z_]\w*)([+-]\d+)?")


def without_sums_of_indices(rows: list[Row]) -> list[Row]:
    """Without the first `plus` before an index is kept and looked by, where all that read the index go by it."""
    flow = flow_of(rows)
    single = single_words(rows)
    live = live_words(rows, flow, single)
    for at in range(len(rows) - 2):
        if not _is_kept(rows, at, single):
            continue
        readers = readers_of(rows, flow, live, at + 2, "", rows[at + 1].operand)
        indexed = _indexed(rows, flow, at + 1, readers)
        if indexed is not None:
            more = int(rows[at].operand)
            kept = [_moved(row, more) if number in indexed else row for number, row in enumerate(rows)]
            kept[at + 1] = kept[at + 1]._replace(labels=(*rows[at].labels, *rows[at + 1].labels))
            return [*kept[:at], *kept[at + 1 :]]
    return rows


def _is_kept(rows: Sequence[Row], at: int, single: set[str]) -> bool:
    """Whether a number is added to A there, A is kept in a word, and something is looked up by it."""
    first, second, third = rows[at : at + 3]
    if (first.order, second.order, third.order) != ("plus", "store", "look") or second.operand not in single:
        return False
    return not (is_modified(rows, at) or second.labels or third.labels)


def _indexed(rows: Sequence[Row], flow: Flow, store: int, readers: set[int] | None) -> set[int] | None:
    """The rows whose addresses an index is added to, one kept there; None where it is used otherwise, or another is."""
    if readers is None or readers & read_from_elsewhere(rows, flow, store, rows[store].operand):
        return None
    indexed = {store + 1, *(reader + 1 for reader in readers)}
    for reader in readers:
        row = rows[reader + 1]
        if rows[reader].order != "by" or is_modified(rows, reader) or row.labels or row.order not in _INDEXED:
            return None
    return indexed if all(_ADDRESS.fullmatch(rows[at].operand) for at in indexed) else None


def _moved(row: Row, more: int) -> Row:
    """A row with a number added to its address."""
    address = _ADDRESS.fullmatch(row.operand)
    assert address is not None, "it was looked at before"
    apart = int(address[2] or 0) + more
    return row._replace(operand=f"{address[1]}{apart:+d}" if apart else address[1])
