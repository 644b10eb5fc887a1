"""Passes over a program's rows that save words and change nothing: see `tidied`."""

import re
from typing import TYPE_CHECKING

from budget.lowering.text import PROGRAM, Row, takes_place

if TYPE_CHECKING:
    from budget.lowering.text import Text

_NAME = re.compile(r"[A-Za-z_]\w*")
GOES_AWAY = frozenset({"jump", "back", "halt"})
"""Orders after which the next row is reached by its label only."""
LEAVES_A = frozenset({"ifzero", "ifnonzero", "ifminus", "output", "by", "high", "store"})
"""Orders after which A is what it was.  (A store by M writes A itself, so a word that A was equal to still is.)"""


def tidied(text: "Text") -> dict[str, list[Row]]:
    """The sections of a program with its routines in place, and without rows that do nothing."""
    rows = _with_routines(text)
    before: list[Row] = []
    while rows != before:
        before = rows
        for each in (_threaded, _reached, _without_idle_jumps, _without_idle_loads):
            rows = each(rows)
    return {**text.rows, PROGRAM: rows}


def _with_routines(text: "Text") -> list[Row]:
    """Routines after the program, and those that are called once in the place of the call."""
    rows = list(text.rows[PROGRAM])
    routines = dict(text.routines)
    while True:
        everything = [*rows, *(row for routine in routines.values() for row in routine)]
        once = [name for name in routines if sum(_calls(row, name) for row in everything) == 1]
        if not once:
            return everything
        name = once[0]
        body = routines.pop(name)
        rows = _inlined(rows, name, body)
        routines = {other: _inlined(each, name, body) for other, each in routines.items()}


def _calls(row: Row, name: str) -> bool:
    return row.order == "call" and row.operand == name


def _inlined(rows: list[Row], name: str, body: list[Row]) -> list[Row]:
    """Rows with the one call of a routine replaced by its body."""
    for at, row in enumerate(rows):
        if _calls(row, name):
            after = f"{name}_end"
            placed = [
                each._replace(order="jump", operand=after) if each.order == "back" else each for each in body
            ]
            placed[0] = placed[0]._replace(labels=(*row.labels, *placed[0].labels))
            following = rows[at + 1] if at + 1 < len(rows) else Row((), "halt")
            following = following._replace(labels=(after, *following.labels))
            return [*rows[:at], *placed, following, *rows[at + 2 :]]
    return rows


def _threaded(rows: list[Row]) -> list[Row]:
    """What leads to a jump leads to where that leads; labels that nothing uses are dropped."""
    leads = {label: row.operand for row in rows if row.order == "jump" for label in row.labels}
    return [
        row._replace(operand=_end_of(row.operand, leads)) if takes_place(row.order) else row for row in rows
    ]


def _end_of(label: str, leads: dict[str, str]) -> str:
    seen: set[str] = set()
    while label in leads and label not in seen:
        seen.add(label)
        label = leads[label]
    return label


def _reached(rows: list[Row]) -> list[Row]:
    """Without rows to which nothing leads, and without labels that nothing uses."""
    used = {name for row in rows for name in _NAME.findall(row.operand)} | {"start"}
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


def _without_idle_jumps(rows: list[Row]) -> list[Row]:
    """Without jumps to the next row."""
    kept: list[Row] = []
    waiting: tuple[str, ...] = ()
    for row, following in zip(rows, [*rows[1:], Row()], strict=True):
        if row.order == "jump" and row.operand in following.labels and not _modified(kept):
            waiting = (*waiting, *row.labels)
            continue
        kept.append(row._replace(labels=(*waiting, *row.labels)))
        waiting = ()
    return kept


def _modified(kept: list[Row]) -> bool:
    return bool(kept) and kept[-1].order in ("by", "high")


def _without_idle_loads(rows: list[Row]) -> list[Row]:
    """Without loads of the word that has just been stored from A, or loaded."""
    kept: list[Row] = []
    in_a = ""
    for row in rows:
        if row.labels:
            in_a = ""
        is_plain = not _modified(kept)
        if row.order == "load" and is_plain and row.operand == in_a and not row.labels:
            continue
        kept.append(row)
        if row.order in ("load", "store", "count") and is_plain:
            in_a = row.operand
        elif row.order not in LEAVES_A:
            in_a = ""
    return kept
