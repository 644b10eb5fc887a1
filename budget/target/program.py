"""The program of an order sheet's machine, from its text in our orders to the words of its image."""

from budget.card import CostCard
from budget.machine.names import Mistakes
from budget.machine.program import CONSTANT, DATA, INSTRUCTION, Line, Program
from budget.machine.program import SPACE as FREE
from budget.machine.source import read_statements
from budget.target import code
from budget.target.code import Item, Literal, Ref
from budget.target.expand import draft
from budget.target.passes import tighten
from budget.target.passes.choices import choices_of
from budget.target.place import NoRoom, OutOfReach, Placed, place, reaches
from budget.target.reach import leads_too_far
from budget.target.sheet import Orders, Sheet
from games.problems import bad

KINDS = {code.ORDER: INSTRUCTION, code.DATA: DATA, code.SPACE: FREE, code.LINK: FREE}
REMARK = 24
"""Columns before the source line in a listing."""


def expand(text: str, card: CostCard, file: str = "") -> Program:
    """A program text in the orders of the card's sheet.  Raises BadInput with every mistake."""
    return written(expanded(text, card, file), text, card, file)


def expanded(text: str, card: CostCard, file: str = "", *, is_tight: bool = True) -> Placed:
    """The same, with its labels still known; without the size passes unless `is_tight`."""
    sheet = card.sheet
    assert sheet is not None, "the card says that programs come by an order sheet"
    statements = read_statements(text, file)
    mistakes = Mistakes(file, text.split("\n"))
    choices = choices_of(sheet)
    for copies in (False, True):
        plain = draft(statements, card, sheet, mistakes, copies=copies)
        if is_tight and not copies and leads_too_far(plain, sheet):
            continue
        try:
            tight = tighten(plain, choices) if is_tight else plain
            return place(tight, sheet, card.store_words, choices.jump)
        except OutOfReach:
            continue
        except NoRoom as refusal:
            raise bad(str(refusal), file) from None
    raise bad("words that lead to others do not fit into page zero", file)


def written(placed: Placed, text: str, card: CostCard, file: str) -> Program:
    """The words of a program whose addresses are known."""
    assert card.sheet is not None
    sheet, orders = card.sheet, Orders(card.sheet)
    source = text.split("\n")
    image: dict[int, int] = {}
    lines: list[Line] = []
    size = 1 << sheet.word_bits
    for address, item in placed.items:
        if not item.size:
            continue
        if item.kind == code.ORDER:
            image[address] = encoded(placed, sheet, orders, address, item)
        for number, value in enumerate(item.values):
            image[address + number] = placed.worth(value) % size
        lines.append(Line(item.line, address, item.size, KINDS[item.kind], _told(item, source)))
    for ref, address in placed.constants.items():
        if ref in placed.shared:
            continue
        image[address] = placed.worth(ref) % size
        lines.append(Line(0, address, 1, CONSTANT, f"= {ref}"))
    labels = {name: at for name, at in placed.labels.items() if "." not in name}
    lines.sort(key=lambda line: line.place)
    return Program(card, file, image, placed.start, tuple(lines), labels)


def _told(item: Item, source: list[str]) -> str:
    said = source[item.line - 1].strip() if item.line else ""
    if item.kind == code.ORDER:
        return f"{item.said():<{REMARK - 2}}  {said}".rstrip()
    if item.kind == code.LINK:
        return f"{item.labels[-1]:<{REMARK - 2}}  {said}".rstrip()
    return said or " ".join(item.labels)


def encoded(placed: Placed, sheet: Sheet, orders: Orders, address: int, item: Item) -> int:
    """The word of an order."""
    if item.operand is None:
        word = orders.combined(item.names)
        assert word is not None, f"{item.names} were combined when they were read"
        return word
    name, operand, is_indirect = item.names[0], item.operand, item.is_indirect
    if orders.holds_number(name):
        assert isinstance(operand, Ref), "a number is no address"
        word = orders.numbered(name, placed.worth(operand))
        assert word is not None, f"{name} was chosen because it holds {operand}"
        return word
    if isinstance(operand, Literal):
        where = placed.constants[operand.value]
    elif reaches(placed, sheet, address, operand):
        where = placed.worth(operand) % (1 << sheet.address_bits)
    else:
        where, is_indirect = placed.constants[operand], True
    word = orders.addressed(name, where, address, is_indirect=is_indirect)
    assert word is not None, f"{name} at {address} reaches {where}"
    return word
