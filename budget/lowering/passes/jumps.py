"""Jumps that can be had shorter: jumps to jumps, over jumps and to the next row, and rows to which nothing leads."""

from budget.lowering.passes.flow import GOES_AWAY, OTHER_WAY, is_modified, used_labels
from budget.lowering.text import Row, takes_place


def threaded(rows: list[Row]) -> list[Row]:
    """What leads to a jump leads to where that leads; a jump to `back` is one."""
    leads = {label: row for row in rows if row.order in GOES_AWAY for label in row.labels}
    return [
        _led_on(row, leads) if takes_place(row.order) and not is_modified(rows, at) else row
        for at, row in enumerate(rows)
    ]


def _led_on(row: Row, leads: dict[str, Row]) -> Row:
    """A row that leads to where the jumps to which it leads come to in the end."""
    label = row.operand
    seen: set[str] = set()
    while label in leads and leads[label].order == "jump" and label not in seen:
        seen.add(label)
        label = leads[label].operand
    if row.order == "jump" and label in leads and leads[label].order in ("back", "halt"):
        return row._replace(order=leads[label].order, operand="")
    return row._replace(operand=label)


def reached(rows: list[Row]) -> list[Row]:
    """Without rows to which nothing leads, and without labels that nothing uses."""
    used = used_labels(rows)
    kept: list[Row] = []
    is_reached = True
    for row in rows:
        labels = tuple(label for label in row.labels if label in used)
        is_reached = is_reached or bool(labels)
        if is_reached:
            kept.append(row._replace(labels=labels))
        if row.order in GOES_AWAY:
            is_reached = False
    return kept


def without_idle_jumps(rows: list[Row]) -> list[Row]:
    """Without jumps and branches to the next row."""
    kept: list[Row] = []
    waiting: tuple[str, ...] = ()
    for row, following in zip(rows, [*rows[1:], Row()], strict=True):
        leads = takes_place(row.order) and row.order != "call" and row.operand in following.labels
        if leads and not is_modified([*kept, row], len(kept)):
            waiting = (*waiting, *row.labels)
            continue
        kept.append(row._replace(labels=(*waiting, *row.labels)))
        waiting = ()
    return kept


def turned_round(rows: list[Row]) -> list[Row]:
    """A branch over a jump becomes a branch the other way."""
    kept: list[Row] = []
    at = 0
    while at < len(rows):
        row, *more = rows[at : at + 3]
        if (
            len(more) == 2
            and row.order in OTHER_WAY
            and more[0].order == "jump"
            and not more[0].labels
            and row.operand in more[1].labels
            and not is_modified(rows, at)
        ):
            kept.append(row._replace(order=OTHER_WAY[row.order], operand=more[0].operand))
            at += 2
            continue
        kept.append(row)
        at += 1
    return kept


def calls_at_the_end(rows: list[Row]) -> list[Row]:
    """A call right before `back` becomes a jump: the routine goes back from there."""
    kept: list[Row] = []
    for row, following in zip(rows, [*rows[1:], Row()], strict=True):
        is_last = row.order == "call" and following.order == "back"
        kept.append(row._replace(order="jump") if is_last else row)
    return kept
