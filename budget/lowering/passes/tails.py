"""Ends that are alike: where two pieces end with the same rows and go on at the same place, one end is enough."""

from budget.lowering.passes.flow import GOES_AWAY, is_modified, same
from budget.lowering.text import Row


def merged(rows: list[Row]) -> list[Row]:
    """With the longest end that two pieces share written once; again and again until there is none."""
    while True:
        found = _longest(rows)
        if found is None:
            return rows
        rows = _with_one(rows, *found)


def _ends(rows: list[Row]) -> dict[str, list[int]]:
    """By where they lead: the places at which pieces end; a piece that runs on into a label ends before it."""
    first = {label: row.labels[0] for row in rows for label in row.labels}
    ends: dict[str, list[int]] = {}
    for at, row in enumerate(rows):
        if row.order in GOES_AWAY and not is_modified(rows, at):
            ends.setdefault(first.get(row.operand, row.order), []).append(at)
        if row.labels and at and rows[at - 1].order not in GOES_AWAY and not is_modified(rows, at):
            ends.setdefault(row.labels[0], []).append(at)
    return ends


def _longest(rows: list[Row]) -> tuple[int, int, int] | None:
    """The longest shared end: where the piece that goes ends (at its jump), where the one that stays, how long."""
    best: tuple[int, int, int] | None = None
    for places in _ends(rows).values():
        for gone in places:
            if rows[gone].order not in GOES_AWAY or rows[gone].labels:
                continue  # what leads to the end itself must not come to what stays
            for stays in places:
                long = _shared(rows, gone, stays) if stays != gone else 0
                if long > (best[2] if best else 0):
                    best = gone, stays, long
    return best


def _shared(rows: list[Row], gone: int, stays: int) -> int:
    """How many rows before two ends are the same; they must not overlap."""
    most, long, good = gone - stays - 1 if gone > stays else stays - gone - 1, 0, 0
    while long < most:
        first, second = gone - long - 1, stays - long - 1
        if min(first, second) < 0 or not same(rows[first], rows[second]):
            break
        if rows[first].order in GOES_AWAY:
            break
        long += 1
        if not is_modified(rows, first) and not is_modified(rows, second):
            good = long
    return good


def _with_one(rows: list[Row], gone: int, stays: int, long: int) -> list[Row]:
    """Rows in which one piece jumps to the end of the other; labels within go over to their likes."""
    rows = list(rows)
    for back in range(1, long + 1):
        kept, dropped = rows[stays - back], rows[gone - back]
        rows[stays - back] = kept._replace(labels=(*kept.labels, *dropped.labels))
    first = rows[stays - long]
    label = first.labels[0] if first.labels else _fresh(rows)
    if not first.labels:
        rows[stays - long] = first._replace(labels=(label,))
    rows[gone] = Row((), "jump", label)
    return [row for at, row in enumerate(rows) if not gone - long <= at < gone]


def _fresh(rows: list[Row]) -> str:
    taken = {label for row in rows for label in row.labels}
    number = 1
    while f"end{number}" in taken:
        number += 1
    return f"end{number}"
