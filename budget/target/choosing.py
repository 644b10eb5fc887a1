"""Which of a sheet's expansions stands for an order: the shortest that its operand and what follows allow."""

from collections.abc import Sequence

from budget.machine.source import Statement
from budget.target.code import Operand, Ref
from budget.target.ours import BRANCHES, CARRY, SETS_CARRY, A, OurFlow
from budget.target.sheet import Expansion, Orders, Sheet

A_THERE = "A there"
"""A sheet's word for A where an order leads."""


class Chooser:
    """Chooses expansions for the statements of a program."""

    def __init__(self, sheet: Sheet, statements: Sequence[Statement], flow: OurFlow) -> None:
        self._sheet = sheet
        self._orders = Orders(sheet)
        self._statements = statements
        self._flow = flow

    def general(self, order: str) -> Expansion:
        """What stands for an order in every case."""
        return next(
            each
            for each in self._sheet.expansions
            if each.order == order and not each.then and not each.needs and each.at is None
        )

    def paired(self, at: int) -> tuple[Expansion, int] | None:
        """An expansion for this order and the next together, if there is one that will do."""
        second = self._flow.after[at]
        if second is None or self._statements[second].what not in BRANCHES or self._flow.is_modified[second]:
            return None
        if any(each.labels for each in self._statements[at + 1 : second + 1]) or second != at + 1:
            return None
        wanted = self._asked(second)
        fitting = [
            each
            for each in self._sheet.expansions
            if (each.order, each.then) == (self._statements[at].what, self._statements[second].what)
            and not each.needs & wanted
        ]
        return (min(fitting, key=lambda each: len(each.lines)), second) if fitting else None

    def _asked(self, at: int) -> frozenset[str]:
        """What is asked for after an order, in the words of a sheet's `free`."""
        there = self._flow.wanted_there(at)
        asked = self._flow.wanted_after(at) | there
        if self._statements[at].what in ("call", "back"):
            asked |= {A, CARRY}
        return asked | ({A_THERE} if A in there else frozenset())

    def chosen(self, at: int, n: Operand, *, is_modified: bool) -> Expansion:
        """The shortest expansion that fits an order and its operand."""
        what = self._statements[at].what
        asked = self._asked(at)
        size = 1 << self._sheet.word_bits
        fitting = [
            each
            for each in self._sheet.expansions
            if each.order == what
            and not each.then
            and not each.needs & asked
            and (each.at is None or (not is_modified and _is_number(n, each.at, size)))
            and self._holds(each, n, is_modified=is_modified)
        ]
        return min(fitting, key=lambda each: len(each.lines))

    def _holds(self, expansion: Expansion, n: Operand, *, is_modified: bool) -> bool:
        """Whether the orders of an expansion that hold a number have room for this one."""
        names = [
            line.names[0]
            for line in expansion.lines
            if line.kind == "n" and self._orders.holds_number(line.names[0])
        ]
        if not names:
            return True
        if is_modified or not isinstance(n, Ref):
            return False
        greatest = (1 << self._sheet.address_bits) - 1 if n.label else n.offset
        return all(self._orders.numbered(name, greatest) is not None for name in names)

    def carry_is_put_away(self, at: int, expansion: Expansion) -> bool:
        """Whether the carry has to be put away meanwhile."""
        return not expansion.keeps_carry and self.carry_is_asked(at)

    def carry_is_asked(self, at: int) -> bool:
        """Whether an order stands between what makes a carry and what asks for it."""
        is_asked = CARRY in self._flow.wanted_after(at) | self._flow.wanted_there(at)
        return is_asked and self._statements[at].what not in SETS_CARRY


def _is_number(operand: Operand, number: int, size: int) -> bool:
    """Whether an operand is this number, in words of so many values."""
    return isinstance(operand, Ref) and not operand.label and (operand.offset - number) % size == 0
