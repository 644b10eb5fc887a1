"""Other weights for the same moves, with one short table: by how many more marks of one side a line holds.

The visitor's marks count for 1 and the machine's for -1.  What so short a table cannot tell apart, *further lines* do:
one or two sets of cells that are listed behind the lines of the game.  They may be lines of the game once more, two
cells, or one.  Small whole numbers are tried for the table, with what wins and what must be stopped far above: no
number is ever rounded, and the first list with a table is taken, so that every computer takes the same.
"""

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations, product
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from budget.lowering.answering.weight_tables import Laid

Numbers = NDArray[np.int64]
MACHINE, VISITOR = -1, 1
"""What a mark counts for."""
MOST_FURTHER = 2
"""Further lines."""
MOST_LISTS = 1600
"""Lists of further lines that are tried."""
MOST_TABLES = 1024
"""Tables that are tried for each."""
AT_ONCE = 8
"""Boards on which all tables that are left are tried at the same time."""


class Boards(NamedTuple):
    """What is asked for, as tuples that can be remembered.

    lines: the cells of each; mine, visitors: (boards) sets of cells; moves: (boards) what is to be taken; wins:
    (boards) whether that wins, empty where wins need not be told.
    """

    cells: int
    lines: tuple[int, ...]
    mine: tuple[int, ...]
    visitors: tuple[int, ...]
    moves: tuple[int, ...]
    wins: tuple[bool, ...]


class Listed(NamedTuple):
    """A table, and the further lines (sets of cells) that are listed behind those of the game."""

    laid: Laid
    further: tuple[int, ...]


@lru_cache(maxsize=16)
def found_listed(boards: Boards) -> Listed | None:
    """The first list of further lines, the shortest first, with a table; None where there is none."""
    weighed = _Weighed(boards)
    for number, further in enumerate(_lists(boards)):
        table = weighed.table_with(further)
        if table is not None:
            return Listed(Laid(MACHINE, VISITOR, (weighed.long - 1,), table), further)
        if number == MOST_LISTS:
            break
    return None


def _lists(boards: Boards) -> Iterator[tuple[int, ...]]:
    """Lists of further lines, short ones first."""
    cells = [1 << cell for cell in range(boards.cells)]
    further = [*boards.lines, *(one | other for one, other in combinations(cells, 2)), *cells]
    for count in range(MOST_FURTHER + 1):
        yield from combinations(further, count)


class _Weighed:
    """The boards, and the tables that are tried on them."""

    def __init__(self, boards: Boards) -> None:
        order = np.argsort(
            [(one | other).bit_count() for one, other in zip(boards.mine, boards.visitors, strict=True)]
        )
        self._mine, self._visitors, self._moves = (
            np.array(each, dtype=np.int64)[order] for each in (boards.mine, boards.visitors, boards.moves)
        )
        self._wins = np.array(boards.wins, dtype=np.bool_)[order] if boards.wins else None
        self._cells = np.arange(boards.cells)
        self._taken = (self._mine | self._visitors)[:, None] >> self._cells & 1 == 1
        self.long = max(line.bit_count() for line in boards.lines)
        self._entries = np.arange(1 - self.long, self.long)
        self._tables = _tables(self.long)
        self._held = sum((self._entries_of(line) for line in boards.lines), self._entries_of(0))

    def _entries_of(self, line: int) -> Numbers:
        """(boards, cells, entries): 1 for the entry of the table that a line adds to what a cell of it weighs."""
        more = np.bitwise_count(self._visitors & line).astype(np.int64) - np.bitwise_count(self._mine & line)
        through = line >> self._cells & 1
        held: Numbers = (more[:, None, None] == self._entries).astype(np.int64) * through[:, None]
        return held

    def table_with(self, further: tuple[int, ...]) -> tuple[int, ...] | None:
        """The first table that takes all moves, and tells wins, with these further lines."""
        held = sum(map(self._entries_of, further), self._held)
        tables = self._tables
        for begin in range(0, len(self._moves), AT_ONCE):
            some = slice(begin, begin + AT_ONCE)
            weights = held[some] @ tables.T
            weights[self._taken[some]] = -1
            is_right = (weights.argmax(axis=1) == self._moves[some, None]).all(axis=0)
            tables = tables[is_right]
            if not len(tables):
                return None
        return next((tuple(table.tolist()) for table in tables if self._tells_wins(held @ table)), None)

    def _tells_wins(self, weights: Numbers) -> bool:
        """Whether cells that win weigh more than all others that are taken; (boards, cells) what they weigh."""
        if self._wins is None:
            return True
        chosen = weights[np.arange(len(self._moves)), self._moves]
        return bool(
            chosen[self._wins].min(initial=np.iinfo(np.int64).max) > chosen[~self._wins].max(initial=-1)
        )


def _tables(long: int) -> Numbers:
    """(tables, entries) the tables that are tried: any small numbers, none below 0, but for the first and the last."""
    inner = 2 * long - 3
    top = 1
    while (top + 2) ** inner <= MOST_TABLES:
        top += 1
    stops, wins = 5 * (top + 1), 12 * (top + 1)
    return np.array([(wins, *each, stops) for each in product(range(top + 1), repeat=inner)], dtype=np.int64)
