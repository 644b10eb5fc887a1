"""A table that is reached from its end lies at the end of the store, where its end is address 0.

Only machines with orders of their own gain by it: a word that holds a number less the table's length is then the
address of its entry, and nothing has to be added to it.
"""

from collections import Counter
from collections.abc import Sequence

from budget.lowering.text import Row


def topmost(rows: Sequence[Row], workspace: Sequence[Row], store_words: int) -> list[Row]:
    """The workspace with that table put there which the program reaches from its end most often."""
    ends = {f"{row.labels[0]}+{row.operand}": row for row in workspace if row.operand != "1" and row.labels}
    used = Counter(row.operand for row in rows if row.operand in ends)
    if not used:
        return list(workspace)
    last = ends[max(used, key=lambda operand: used[operand])]
    return [*(row for row in workspace if row is not last), at(store_words - int(last.operand)), last]


def at(address: int) -> Row:
    """What follows lies from an address on."""
    return Row((), "at", str(address))
