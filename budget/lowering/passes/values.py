"""What A is known to hold: loads and numbers that are there already need not be fetched again."""

from budget.lowering.passes.flow import is_modified
from budget.lowering.text import Row

LEAVES_A = frozenset({"ifzero", "ifnonzero", "ifminus", "output", "by", "high", "store"})
"""Orders after which A is what it was.  (A store by M writes A itself, so a word that A was equal to still is.)"""


def without_idle_loads(rows: list[Row]) -> list[Row]:
    """Without what brings into A what is there already."""
    kept: list[Row] = []
    known: set[tuple[str, str]] = set()
    waiting: tuple[str, ...] = ()
    for at, row in enumerate(rows):
        if row.labels:
            known = set()
        is_plain = not is_modified(rows, at)
        if is_plain and (row.order, row.operand) in known and not waiting:
            continue
        kept.append(row)
        known = _known_after(row, known, is_plain=is_plain)
    return kept


def _known_after(row: Row, known: set[tuple[str, str]], *, is_plain: bool) -> set[tuple[str, str]]:
    """Which orders would change nothing after a row."""
    if row.order in ("load", "set") and is_plain:
        return {(row.order, row.operand)}
    if row.order == "store" and is_plain:
        return {each for each in known if each != ("load", row.operand)} | {("load", row.operand)}
    if row.order == "count" and is_plain:
        return {("load", row.operand)}
    if row.order == "ifnonzero":
        return known | {("set", "0")}
    return known if row.order in LEAVES_A else set()
