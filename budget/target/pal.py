"""An expanded program as symbolic source for an assembler of the target's own, with remarks.

Every word stands there with its address worked out by us, so that assembler checks us: its words must be ours.
"""

import re
from collections.abc import Iterator, Sequence

from budget.target.code import LINK, ORDER, SPACE, Item, Literal, Ref
from budget.target.place import Placed, reaches
from budget.target.sheet import Sheet

LONGEST_SYMBOL = 6
"""Letters and figures that count in a symbol."""
REMARK_AT = 24


class Symbols:
    """A short symbol for each label, unlike every other and unlike an order."""

    def __init__(self, placed: Placed, sheet: Sheet) -> None:
        self._taken = {order.name for order in sheet.orders} | {"I", "Z", *PERMANENT}
        self.of_label: dict[str, str] = {}
        self.of_constant: dict[Ref, str] = {}
        for label in placed.labels:
            self.of_label[label] = self._short(label)
        for ref in placed.constants:
            self.of_constant[ref] = self._short(
                f"K{ref.label}{ref.offset or ''}" if ref.label else f"K{ref.offset}"
            )

    def _short(self, wanted: str) -> str:
        letters = re.sub("[^A-Z0-9]", "", wanted.upper()) or "L"
        letters = letters if letters[0].isalpha() else f"L{letters}"
        symbol = letters[:LONGEST_SYMBOL]
        number = 0
        while symbol in self._taken:
            number += 1
            symbol = letters[: LONGEST_SYMBOL - len(str(number))] + str(number)
        self._taken.add(symbol)
        return symbol

    def said(self, ref: Ref) -> str:
        """A label and what is added to it, in base 8."""
        if not ref.label:
            return f"{ref.offset:o}"
        sign = "+" if ref.offset >= 0 else "-"
        return self.of_label[ref.label] + (f"{sign}{abs(ref.offset):o}" if ref.offset else "")


PERMANENT = (
    "DECIMAL", "OCTAL", "PAGE", "FIELD", "EXPUNG", "FIXTAB", "PAUSE", "XLIST", "EJECT", "ENPUNC", "NOPUNC", "TEXT",
    "ZBLOCK", "DUBL", "FLTG", "FIXMRI", "BSW", "CAF", "CIA", "CDF", "CIF", "GLK", "HLT", "IAC", "ION", "IOF", "LAS",
    "OSR", "OPR", "OAS", "RDF", "RIB", "RIF", "RMF", "STA", "STL", "STB", "SUF", "SWP", "MQA", "MQL", "NMI", "DVI",
    "DPSZ", "LSR", "ASR", "SHL", "SCA", "SCL", "MUY", "CAM", "ACL", "CLEI", "SKON", "SRQ", "RTF", "GTF", "SGT",
)  # fmt: skip
"""Symbols that such an assembler knows from the start, from memory: none of ours is one of them."""


def pal_source(placed: Placed, sheet: Sheet, source: Sequence[str], title: str) -> str:
    """The source of a program; `source` are the lines of the text that it was expanded from."""
    return "\n".join([f"/ {_plain(title)}", *_lines(placed, sheet, Symbols(placed, sheet), source), "$", ""])


def _lines(placed: Placed, sheet: Sheet, symbols: Symbols, source: Sequence[str]) -> Iterator[str]:
    items: list[tuple[int, Item | Ref]] = [
        *placed.items,
        *((at, ref) for ref, at in placed.constants.items() if ref not in placed.shared),
    ]
    for ref, at in placed.constants.items():
        if ref in placed.shared:
            yield f"{symbols.of_constant[ref]}={at:o}"
    expected, shown = -1, 0
    for address, item in sorted(items, key=lambda each: each[0]):
        if address != expected:
            yield f"*{address:o}"
        if isinstance(item, Ref):
            yield f"{symbols.of_constant[item]},".ljust(8) + (
                symbols.said(item) if item.label else _octal(item.offset, sheet)
            )
            expected = address + 1
            continue
        yield from _labels(item, symbols)
        remark = ""
        if item.line and item.line != shown:
            remark, shown = source[item.line - 1].strip(), item.line
        yield from _words(placed, sheet, symbols, address, item, remark)
        expected = address + item.size


def _labels(item: Item, symbols: Symbols) -> Iterator[str]:
    """Every label but the last, which stands in the line of its word."""
    for label in item.labels if not item.size else item.labels[:-1]:
        yield f"{symbols.of_label[label]},"


def _words(
    placed: Placed, sheet: Sheet, symbols: Symbols, address: int, item: Item, remark: str
) -> Iterator[str]:
    if not item.size:
        return
    label = f"{symbols.of_label[item.labels[-1]]}," if item.labels else ""
    if item.kind == ORDER:
        texts = [_order(placed, sheet, symbols, address, item)]
    elif item.kind == SPACE and item.place is not None:  # there may be no word behind it
        label, texts = "", [f"{symbols.of_label[item.labels[-1]]}={address:o}"] if item.labels else []
    elif item.kind in (SPACE, LINK):
        texts = [f"*.+{item.size:o}"]
    else:
        texts = [symbols.said(value) if value.label else _octal(value.offset, sheet) for value in item.values]
    for number, text in enumerate(texts):
        line = f"{label:<8}{text}" if number == 0 else f"{'':<8}{text}"
        yield f"{line:<{REMARK_AT}}/ {_plain(remark)}" if remark and number == 0 else line


def _order(placed: Placed, sheet: Sheet, symbols: Symbols, address: int, item: Item) -> str:
    names = " ".join(item.names)
    operand = item.operand
    if operand is None:
        return names
    if isinstance(operand, Literal):
        said, is_indirect = symbols.of_constant[operand.value], item.is_indirect
    elif reaches(placed, sheet, address, operand):
        said, is_indirect = symbols.said(operand), item.is_indirect
    else:
        said, is_indirect = symbols.of_constant[operand], True
    return f"{names} {'I ' if is_indirect else ''}{said}"


def _octal(number: int, sheet: Sheet) -> str:
    return f"{number % (1 << sheet.word_bits):o}"


def _plain(text: str) -> str:
    """A remark in capitals and plain ASCII, as such assemblers read it."""
    return "".join(sign if sign.isascii() and sign.isprintable() else " " for sign in text)
