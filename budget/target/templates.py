"""What a sheet writes in place of our orders: the lines of its expansions, read and checked."""

import re
from typing import NamedTuple

from budget.machine.orders import ORDER_NAMED, Operand
from budget.target.sheet import INDIRECT, NUMBER_FIELD, WITHIN, Expansion, Orders, Sheet, TemplateLine
from games.problems import listed, near_miss
from games.tomlfile import Table

NEEDS = ("A", "A there", "carry")
"""What nobody may ask for after an expansion: A; A where it jumps to; the carry."""
BRANCHES = ("jump", "ifzero", "ifnonzero", "ifminus")
SEPARATE = ("by", "high")
"""Orders that stand for nothing of their own: they change the operand of the next."""
BY_KEYS = ("begin", "add", "base", "end")
CARRY_KEYS = ("keep", "restore")
TEMPLATES = {
    "begin": (),
    "add": ("n",),
    "base": ("n",),
    "end": (),
    "keep": (),
    "restore": (),
    "link": (),
}
"""What is written once for all our orders, and the operands that each may name."""
_OPERAND = re.compile(r"(?P<open>\[?)(?P<literal>=?)(?P<what>[A-Za-z_][A-Za-z0-9_]*|-?\d+)(?P<close>\]?)")
_LABEL = re.compile(r"[a-z][a-z0-9_]*:")
OWN_OPERANDS = ("n", "m", "link")


class Known(NamedTuple):
    """What the lines of a sheet may name."""

    sheet: Sheet
    orders: Orders


class Wrong(Exception):
    """A line that cannot be read, and what was expected."""


def read_expansions(table: Table, known: Known) -> tuple[Expansion, ...]:
    """What stands for each of our orders.  Notes what is wrong, and every order for which nothing stands."""
    expansions = tuple(_read_expansion(each, known) for each in table.tables("expand"))
    if table.problems:
        return expansions
    for name in ORDER_NAMED:
        is_told = any(
            (each.order, each.then, each.at, each.needs) == (name, "", None, frozenset())
            for each in expansions
        )
        if name not in SEPARATE and not is_told:
            table.wrong("expand", f"nothing stands for '{name}' in every case; expected an [[expand]] for it")
    return expansions


def read_common(table: Table, known: Known) -> dict[str, tuple[TemplateLine, ...]]:
    """The tables [by] and [carry]."""
    common = {}
    for name, keys in (("by", BY_KEYS), ("carry", CARRY_KEYS)):
        part = table.table(name)
        for key in keys:
            common[key] = _read_lines(part, key, known, TEMPLATES[key])
        part.finish()
    return common


def _read_expansion(table: Table, known: Known) -> Expansion:
    names = tuple(name for name in ORDER_NAMED if name not in SEPARATE)
    order = table.text("order", one_of=names)
    then = table.text("then", default="", one_of=("", *BRANCHES)) if "then" in table else ""
    at = None
    if "n" in table:
        at = table.whole("n", least=-(1 << 40), most=1 << 40)
    needs = frozenset(table.texts("free", default=(), one_of=NEEDS))
    keeps_carry = table.flag("keeps-carry", default=True)
    operands = [name for name, each in (("n", order), ("m", then)) if each and _has_operand(each)]
    if order in ("back", "call"):
        operands.append("link")
    lines = _read_lines(table, "words", known, tuple(operands))
    table.finish()
    return Expansion(order, then, at, needs, keeps_carry, lines)


def _has_operand(order: str) -> bool:
    return ORDER_NAMED[order].operand is not Operand.NONE


def _read_lines(table: Table, key: str, known: Known, operands: tuple[str, ...]) -> tuple[TemplateLine, ...]:
    before = len(table.problems)
    texts = table.texts(key)
    if len(table.problems) > before:
        return ()
    labels = {text.split(":")[0].strip() for text in texts if ":" in text}
    lines = []
    for text in texts:
        try:
            lines.append(_read_line(text, known, operands, labels))
        except Wrong as wrong:
            table.wrong(key, f"'{text}': {wrong}")
    return tuple(lines)


def _read_line(text: str, known: Known, operands: tuple[str, ...], labels: set[str]) -> TemplateLine:
    """One line of an expansion, such as ``again: TAD [where]``.  Raises Wrong."""
    words = text.split()
    label = ""
    if words and _LABEL.fullmatch(words[0]):
        label = words.pop(0)[:-1]
        if label in known.sheet.temporaries or label in OWN_OPERANDS:
            raise Wrong(f"'{label}' has a meaning already; expected another label")
    names = []
    all_names = (*known.orders.named, *known.orders.empty)
    while words and words[0] in all_names:
        names.append(words.pop(0))
    if not names:
        raise Wrong(f"expected an order of the sheet{near_miss(words[0], all_names) if words else ''}")
    if len(words) > 1:
        raise Wrong(f"'{words[1]}' is too much here; expected orders and one operand")
    line = TemplateLine(label, tuple(names), False, "", "", False)
    if words:
        line = _with_operand(line, words[0], known, operands, labels)
    _check_line(line, known)
    return line


def _with_operand(
    line: TemplateLine, text: str, known: Known, operands: tuple[str, ...], labels: set[str]
) -> TemplateLine:
    found = _OPERAND.fullmatch(text)
    if not found or bool(found["open"]) != bool(found["close"]):
        raise Wrong(f"'{text}' is no operand; expected such as n, =n, =5, [n] or the name of a temporary")
    what = found["what"]
    if what in operands or what in ("n", "m", "link"):
        if what not in operands:
            raise Wrong(f"there is no '{what}' here; expected {listed(list(operands)) or 'another operand'}")
        kind = what if what != "link" else "link"
    elif what in known.sheet.temporaries:
        kind = "temporary"
    elif what in labels:
        kind = "local"
    elif what.lstrip("-").isdigit():
        kind = "number"
    else:
        names = (*operands, *known.sheet.temporaries, *sorted(labels))
        raise Wrong(f"there is no '{what}' here; expected a number, {listed(names)}{near_miss(what, names)}")
    return line._replace(
        is_indirect=bool(found["open"]), kind=kind, operand=what, is_literal=bool(found["literal"])
    )


def _check_line(line: TemplateLine, known: Known) -> None:
    """Check that the orders go into one word, and have the operand that they need."""
    orders = [order for name in line.names for order in known.orders.named.get(name, ())]
    fields = {letter for order in orders for letter in order.pattern.fields}
    if WITHIN in fields or NUMBER_FIELD in fields:
        if len(line.names) > 1:
            raise Wrong("an order with an operand stands alone in its word")
        if not line.kind:
            raise Wrong(f"'{line.names[0]}' needs an operand")
        if line.is_indirect and INDIRECT not in fields:
            raise Wrong(f"'{line.names[0]}' has no bit 'i', so it takes no [...]")
        if WITHIN in fields and line.kind == "number" and not line.is_literal:
            return
        return
    if line.kind:
        raise Wrong(f"'{' '.join(line.names)}' takes no operand")
    if known.orders.combined(line.names) is None:
        raise Wrong("these orders do not go together in one word")
