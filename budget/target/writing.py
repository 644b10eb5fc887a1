"""The lines of expansions as orders on words of the program."""

from collections.abc import Callable
from typing import NamedTuple

from budget.machine.source import Statement
from budget.target.code import ORDER, Item, Literal, Operand, Ref
from budget.target.sheet import Sheet, TemplateLine


class Meant(NamedTuple):
    """What the operands of an expansion stand for.

    n, m: the operands of our orders; link: the word of the subroutine's link; where: the word that holds n, if `by`
    has changed it; leads_to: the labels where an order may go through that word.
    """

    n: Operand = Ref("")
    m: Operand = Ref("")
    link: Ref = Ref("")
    where: Operand | None = None
    leads_to: tuple[str, ...] | None = None


class LineWriter:
    """Writes items; `pending` are labels that wait for the next."""

    def __init__(self, sheet: Sheet) -> None:
        self.items: list[Item] = []
        self.pending: list[str] = []
        self._sheet = sheet
        self._locals = 0

    def emit_before(self, lines: tuple[TemplateLine, ...], meant: Meant, statement: Statement) -> None:
        """Write lines before the labels that wait."""
        waiting, self.pending = self.pending, []
        self.emit(lines, meant, statement)
        self.pending = waiting

    def emit_wrapped(
        self, lines: tuple[TemplateLine, ...], meant: Meant, statement: Statement, *, is_wrapped: bool
    ) -> None:
        """Write the lines of an expansion, the carry put away meanwhile if need be."""
        if is_wrapped:
            self.emit(self._sheet.common["keep"], Meant(), statement)
        self.emit(lines, meant, statement)
        if is_wrapped:
            self.emit(self._sheet.common["restore"], Meant(), statement)

    def emit(self, lines: tuple[TemplateLine, ...], meant: Meant, statement: Statement) -> None:
        """Write the lines of an expansion."""
        self._locals += 1
        for line in lines:
            item = Item(ORDER, statement.line, names=line.names, is_indirect=line.is_indirect)
            if line.label:
                item.labels.append(self._local(line.label))
            self._put_operand(item, line, meant)
            self.add(item)

    def _local(self, label: str) -> str:
        return f"{label}.{self._locals}"

    def _put_operand(self, item: Item, line: TemplateLine, meant: Meant) -> None:
        if not line.kind:
            return
        if line.kind == "n" and meant.where is not None:
            item.operand, item.is_indirect = meant.where, not line.is_literal
            item.leads_to = meant.leads_to if item.is_indirect else None
            return
        refs: dict[str, Callable[[], Operand]] = {
            "n": lambda: meant.n,
            "m": lambda: meant.m,
            "link": lambda: meant.link,
            "temporary": lambda: Ref(f".{line.operand}"),
            "local": lambda: Ref(self._local(line.operand)),
            "number": lambda: Ref("", int(line.operand)),
        }
        operand = refs[line.kind]()
        item.operand = Literal(operand) if line.is_literal and isinstance(operand, Ref) else operand

    def add(self, item: Item) -> None:
        """Add an item, with the labels that wait."""
        item.labels = [*self.pending, *item.labels]
        self.pending = []
        self.items.append(item)
