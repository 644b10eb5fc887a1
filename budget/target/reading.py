"""Order sheets out of TOML: every mistake is told with the line of its key."""

from pathlib import Path

from budget.target.effect import SYMBOLS, Effect, Unclear, read_effect
from budget.target.sheet import (
    FREE,
    INDIRECT,
    LETTERS,
    NUMBER_FIELD,
    PAGE,
    WITHIN,
    Group,
    Orders,
    Pattern,
    Sheet,
    TargetOrder,
)
from budget.target.templates import Known, read_common, read_expansions
from games.problems import bad, listed, near_miss
from games.tomlfile import Table, parse_toml, read_text

_FOLDER = Path(__file__).parent.parent / "order_sheets"
LONGEST_WORD = 40
MOST_CYCLES = 1 << 16
TAKEN = {
    *SYMBOLS,
    "S",
    "if",
    "and",
    "or",
    "xor",
    "not",
    "typed",
    "printed",
    "skip",
    "stay",
    "halt",
    "print",
    "forget",
}
"""Names that mean something else in an effect."""


def sheet_names() -> tuple[str, ...]:
    """The order sheets that come with Wordtight, by name."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.toml")))


def load_sheet(name: str, folder: str | Path = "") -> Sheet:
    """The order sheet of this name, or of a TOML file in a folder.  Raises BadInput with every mistake of it."""
    if name.lower().endswith(".toml"):
        path = Path(folder) / name
        return parse_sheet(read_text(path), str(path))
    known = sheet_names()
    if name not in known:
        raise bad(
            f"there is no order sheet called '{name}'; expected {listed(known)}{near_miss(name, known)}"
        )
    return parse_sheet(read_text(_FOLDER / f"{name}.toml"), f"{name}.toml")


def parse_sheet(text: str, file: str) -> Sheet:
    """An order sheet from TOML text; `file` is what messages call it, and its stem names the sheet."""
    table = parse_toml(text, file, "order-sheet")
    title, origin = table.text("title"), table.text("from")
    word_bits = table.whole("word-bits", least=4, most=LONGEST_WORD)
    address_bits = table.whole("address-bits", default=word_bits, least=4, most=20)
    page_words = table.whole("page-words", default=0, most=1 << 20)
    first_word = table.whole("first-word", default=0, most=(1 << address_bits) - 1)
    indirect_cycles = table.whole("indirect-cycles", default=0, most=MOST_CYCLES)
    stepping = table.wholes("stepping", default=(), most=(1 << address_bits) - 1)
    if stepping and (len(stepping) != 2 or stepping[0] > stepping[1]):
        table.wrong("stepping", "'stepping' should be the first and the last address, such as [8, 15]")
        stepping = ()
    registers = _read_registers(table, word_bits)
    accumulator = table.text("accumulator", one_of=tuple(registers))
    groups = tuple(_read_group(each, word_bits) for each in table.tables("group"))
    orders = _read_orders(table, word_bits, groups, registers)
    temporaries = table.texts("temporaries", default=())
    table.raise_problems()  # what follows is read with the names and sizes above
    sheet = Sheet(
        Path(file).stem,
        title,
        origin,
        word_bits,
        address_bits,
        page_words,
        first_word,
        (stepping[0], stepping[1]) if stepping else None,
        indirect_cycles,
        registers,
        accumulator,
        orders,
        groups,
        temporaries,
        (),
        {},
    )
    _check_sizes(table, sheet)
    known = Known(sheet, Orders(sheet))
    sheet = sheet._replace(expansions=read_expansions(table, known), common=read_common(table, known))
    table.finish()
    table.raise_problems()
    return sheet


def _read_registers(table: Table, word_bits: int) -> dict[str, int]:
    """The registers and their bits; one at the least, so that what follows has something to name."""
    registers: dict[str, int] = {}
    for each in table.tables("register"):
        name = _name_of(each)
        if name in TAKEN:
            each.wrong("name", f"'{name}' means something else; expected another name for a register")
        elif name in registers:
            each.wrong("name", f"there is a register '{name}' already; expected it once")
        registers[name] = each.whole("bits", least=1, most=word_bits)
        each.finish()
    if not registers:
        table.wrong("register", "there is no register; expected one [[register]] or more")
    return registers or {"A": word_bits}


def _read_pattern(table: Table, word_bits: int, letters: str) -> Pattern:
    """The bits of an order or a group, the highest first; spaces count for nothing."""
    before = len(table.problems)
    text = "".join(table.text("bits").split())
    pattern = Pattern(0, 0, {})
    if len(table.problems) > before:
        return pattern
    if len(text) != word_bits:
        table.wrong("bits", f"'bits' has {len(text)} bits; expected {word_bits}, the highest first")
        return pattern
    strange = [sign for sign in text if sign not in "01" + letters]
    if strange:
        table.wrong("bits", f"'{strange[0]}' is no bit of a pattern; expected {listed(list('01' + letters))}")
        return pattern
    fields = {letter: _field(text, letter) for letter in LETTERS if letter in text}
    for letter, (lowest, bits) in fields.items():
        if text[len(text) - lowest - bits : len(text) - lowest] != letter * bits:
            table.wrong("bits", f"the bits '{letter}' are not side by side; expected them together")
        if letter in (PAGE, INDIRECT) and bits > 1:
            table.wrong("bits", f"there are {bits} bits '{letter}'; expected one")
    ones = sum(1 << place for place, sign in enumerate(reversed(text)) if sign == "1")
    mask = sum(1 << place for place, sign in enumerate(reversed(text)) if sign in "01")
    return Pattern(ones, mask, fields)


def _field(text: str, letter: str) -> tuple[int, int]:
    return len(text) - 1 - text.rindex(letter), text.count(letter)


def _read_group(table: Table, word_bits: int) -> Group:
    name = _name_of(table)
    pattern = _read_pattern(table, word_bits, FREE)
    cycles = table.whole("cycles", default=1, most=MOST_CYCLES)
    empty = table.text("empty", default="")
    table.finish()
    return Group(name, pattern, cycles, empty)


def _name_of(table: Table) -> str:
    before = len(table.problems)
    name = table.text("name")
    if len(table.problems) == before and not (name.isascii() and name.isalnum() and name[0].isalpha()):
        table.wrong("name", f"'name' should be one word of letters and figures, not \"{name}\"")
    return name


def _read_orders(
    table: Table, word_bits: int, groups: tuple[Group, ...], registers: dict[str, int]
) -> tuple[TargetOrder, ...]:
    tables = table.tables("order")
    if not tables:
        table.wrong("order", "there is no order; expected one [[order]] or more")
    orders: list[TargetOrder] = []
    taken = {(group.empty, "") for group in groups if group.empty}
    for each in tables:
        order = _read_order(each, word_bits, {group.name: group for group in groups}, registers)
        if {(order.name, ""), (order.name, order.group)} & taken or (
            not order.group and order.name in dict(taken)
        ):
            each.wrong(
                "name", f"there is an order '{order.name}' already; expected it once, or once in each group"
            )
        taken.add((order.name, order.group))
        orders.append(order)
    return tuple(orders)


def _read_order(
    table: Table, word_bits: int, groups: dict[str, Group], registers: dict[str, int]
) -> TargetOrder:
    name = _name_of(table)
    group = table.text("group", default="", one_of=("", *groups)) if "group" in table else ""
    pattern = _read_pattern(table, word_bits, FREE if group else "".join(LETTERS))
    before = len(table.problems)
    text = table.text("does")
    effect: Effect = ()
    if len(table.problems) == before:
        try:
            effect = read_effect(text, registers)
        except Unclear as unclear:
            table.wrong("does", f"'does' of {name}: {unclear}")
    cycles = groups[group].cycles if group else table.whole("cycles", default=1, most=MOST_CYCLES)
    table.finish()
    return TargetOrder(name, pattern, group, effect, cycles)


def _check_sizes(table: Table, sheet: Sheet) -> None:
    """Check that addresses have room where orders name them."""
    for each, order in zip(table.tables("order"), sheet.orders, strict=True):
        fields = order.pattern.fields
        room = 1 << fields[WITHIN][1] if WITHIN in fields else 0
        if WITHIN not in fields:
            if PAGE in fields or INDIRECT in fields:
                each.wrong("bits", f"the order {order.name} has no address; expected bits 'a'")
        elif sheet.page_words and (PAGE not in fields or room != sheet.page_words):
            each.wrong("bits", f"expected a bit 'p', and bits 'a' for a page of {sheet.page_words} words")
        elif not sheet.page_words and (PAGE in fields or room < 1 << sheet.address_bits):
            each.wrong("bits", f"expected {sheet.address_bits} bits 'a' and no 'p', or the key 'page-words'")
        if NUMBER_FIELD in fields and WITHIN in fields:
            each.wrong("bits", "an order holds an address or a number; expected bits 'a' or 'n'")
    if sheet.page_words & sheet.page_words - 1:
        table.wrong("page-words", "'page-words' should be a power of two, such as 128")
