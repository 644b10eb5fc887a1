"""Words of the program that may stand for constants as well: data that nothing writes.

As everywhere in an order sheet, an index is taken to stay in the run of data that it is added to.
"""

from collections.abc import Iterable, Sequence

from budget.machine.orders import Operand
from budget.machine.source import Statement
from budget.target.code import DATA, Item
from budget.target.symbols import Symbols

WRITES = frozenset({"store", "count"})


def never_written(statements: Sequence[Statement], symbols: Symbols) -> frozenset[int]:
    """The lines of `word` in runs of data that nothing is stored in, and whose addresses are nowhere numbers."""
    written = {
        symbols.runs[name]
        for each in statements
        for operand in each.operands
        if _may_write(each)
        for name in symbols.names_below(operand)
        if name in symbols.runs
    }
    return frozenset(
        each.line
        for at, each in enumerate(statements)
        if each.what == "word" and at not in symbols.begins and symbols.run_at[at] not in written
    )


def _may_write(statement: Statement) -> bool:
    """Whether a statement writes the words that it names, or makes a number of their address."""
    is_number = statement.order is not None and statement.order.operand is Operand.NUMBER
    return statement.what in WRITES or statement.what == "word" or statement.manner == "=" or is_number


def numbers_in(items: Iterable[tuple[int, Item]], lines: frozenset[int], size: int) -> dict[int, int]:
    """The address of each number, less than `size`, that stands in data of these lines."""
    found: dict[int, int] = {}
    for begin, item in items:
        if item.kind == DATA and item.line in lines:
            for place, value in enumerate(item.values):
                if not value.label:
                    found.setdefault(value.offset % size, begin + place)
    return found
