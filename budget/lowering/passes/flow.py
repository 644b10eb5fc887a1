"""Where the rows of a program lead."""

import re
from collections.abc import Sequence
from functools import lru_cache

from budget.lowering.text import Row, takes_place

GOES_AWAY = frozenset({"jump", "back", "halt"})
"""Orders after which the next row is reached by its label only."""
MODIFIES = frozenset({"by", "high"})
"""Orders that belong to the one after them."""
BRANCHES = frozenset({"ifzero", "ifnonzero", "ifminus"})
OTHER_WAY = {"ifzero": "ifnonzero", "ifnonzero": "ifzero"}
START = "start"
READS = frozenset({"load", "add", "subtract", "and", "by", "count"})
WRITES = frozenset({"store", "count"})
_NAME = re.compile(r"[A-Za-z_]\w*")


def names_in(operand: str) -> list[str]:
    """The labels and names that an operand is made of."""
    return _NAME.findall(operand)


def is_modified(rows: Sequence[Row], at: int) -> bool:
    """Whether a row belongs to the one before it."""
    return at > 0 and rows[at - 1].order in MODIFIES


def places_of(rows: Sequence[Row]) -> dict[str, int]:
    """The row of each label."""
    return {label: at for at, row in enumerate(rows) for label in row.labels}


def used_labels(rows: Sequence[Row]) -> set[str]:
    """The labels that some row leads to or looks at, and the start."""
    return {name for row in rows for name in names_in(row.operand)} | {START}


def start_of(rows: Sequence[Row]) -> int:
    """The row at which the program starts: the first, unless one is called so."""
    return places_of(rows).get(START, 0)


def single_words(rows: Sequence[Row]) -> set[str]:
    """The words that are only ever used by their own name, and not as the beginning of a table."""
    plain: set[str] = set()
    other: set[str] = set()
    for at, row in enumerate(rows):
        if row.order in READS | WRITES and not is_modified(rows, at) and _NAME.fullmatch(row.operand):
            plain.add(row.operand)
        else:
            other.update(names_in(row.operand))
    return plain - other


def same(row: Row, other: Row) -> bool:
    """Whether two rows do the same, whatever leads to them."""
    return row.order == other.order and row.operand == other.operand


def flow_of(rows: Sequence[Row]) -> "Flow":
    """The flow of some rows; passes that ask one after the other, and change nothing, share it."""
    return _flow_of(tuple(rows))


@lru_cache(maxsize=4)
def _flow_of(rows: tuple[Row, ...]) -> "Flow":
    return Flow(rows)


class Flow:
    """The rows that can follow each row; a call leads into its routine, and `back` to where that was called."""

    def __init__(self, rows: Sequence[Row]) -> None:
        self.rows = rows
        self._at = places_of(rows)
        self._beside = self._besides()
        """The rows that can come next if a call is taken to do nothing."""
        calls = [at for at, row in enumerate(rows) if row.order == "call"]
        ends = {entry: self._ends_of(entry) for entry in {self._at[rows[at].operand] for at in calls}}
        self._returns: dict[int, set[int]] = {}
        for at in calls:
            for end in ends[self._at[rows[at].operand]]:
                self._returns.setdefault(end, set()).add(at + 1)

    def after(self, at: int) -> set[int]:
        """The rows that can come next; nobody may change the set."""
        row = self.rows[at]
        if row.order == "back":
            return self._returns.get(at, set())
        if row.order == "call":
            return {self._at[row.operand]}
        return self._beside[at]

    def _besides(self) -> list[set[int]]:
        last = len(self.rows) - 1
        besides = []
        for at, row in enumerate(self.rows):
            following = set() if row.order in GOES_AWAY or at == last else {at + 1}
            if takes_place(row.order) and row.order != "call":
                following.add(self._at[row.operand])
            besides.append(following)
        return besides

    def _ends_of(self, entry: int) -> set[int]:
        """The rows with `back` that end a routine."""
        seen, waiting, ends = {entry}, [entry], set()
        while waiting:
            at = waiting.pop()
            if self.rows[at].order == "back":
                ends.add(at)
            for following in self._beside[at] - seen:
                seen.add(following)
                waiting.append(following)
        return ends
