"""What the work on one game may use and whom it tells: its memory, its report, and its journal.

Memory is planned before work starts.  Where the number of positions is not known before they have been counted, it is
planned as soon as they have, and the counting itself stops when what has been found is too much already.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from solver.graph import TooLarge
from solver.progress import PLANNED, Progress, Report, Stage, counted

MEMORY = 2 << 30
"""Bytes that may be used unless told otherwise: what a classroom machine can spare."""
MEGABYTE = 1 << 20
Column = npt.NDArray[Any]


class TooMuchMemory(TooLarge):
    """The work takes more bytes than it may use.

    needed: all that it takes; or, where more positions are to come than the `found` ones, at least so much.
    """

    def __init__(self, needed: int, allowed: int, found: int | None = None) -> None:
        self.needed = needed
        self.allowed = allowed
        self.found_so_far = found
        takes = f"this takes {'' if found is None else 'at least '}{megabytes(needed):,} MB of memory"
        met = "" if found is None else f", for {found:,} positions that were met before stopping"
        Exception.__init__(self, f"{takes}{met}; no more than {allowed // MEGABYTE:,} MB may be used")


def megabytes(count: int) -> int:
    """Bytes in units of 2**20, rounded up."""
    return -(-count // MEGABYTE)


def bytes_held(columns: Sequence[Column]) -> int:
    """How many bytes some arrays take; what is mapped from a file takes none."""
    return sum(column.nbytes for column in columns if not isinstance(column, np.memmap))


class NoJournal:
    """Where the pieces of a run are kept that nobody will take up again: nowhere.  `solver.journal` keeps them.

    A piece is some columns of numbers, named by a kind and a number.
    """

    resumes = False
    """Whether there is anything to go on from."""

    @property
    def is_written(self) -> bool:
        """Whether anything is kept so far."""
        return False

    def read(self, kind: str, number: int = 0) -> tuple[Column, ...] | None:
        """The columns of a piece that an earlier run has written, or None."""
        return None

    def write(self, kind: str, number: int, *columns: Column) -> None:
        """Note a finished piece."""

    @property
    def is_due(self) -> bool:
        """Whether it is time to save what there is of a piece that is not finished."""
        return False

    def save(self, kind: str, *columns: Column) -> None:
        """Save what there is of a piece, instead of what there was when it was saved last."""


class Run:
    """The work on one game.

    memory: bytes that may be used; planned: bytes that it takes at its greatest, as far as is known.
    """

    __slots__ = ("_report", "journal", "memory", "planned")

    def __init__(
        self, memory: int = MEMORY, report: Report | None = None, journal: NoJournal | None = None
    ) -> None:
        self.memory = memory
        self.planned = 0
        self.journal = journal or NoJournal()
        self._report = report

    def plan(self, needed: int) -> None:
        """Know how many bytes the work takes in all.  Raises TooMuchMemory if it may not."""
        self.planned = needed
        if needed > self.memory:
            raise TooMuchMemory(needed, self.memory)
        self.tell(PLANNED, 0, 0, 0)

    def count(self, plies: int, positions: int, at_least: int) -> None:
        """Know how many positions have been found, and what they take at least.

        Raises TooMuchMemory if that is more than may be used.
        """
        self.planned = at_least
        if at_least > self.memory:
            raise TooMuchMemory(at_least, self.memory, positions)
        if self._report is not None:
            self._report(counted(plies, positions, at_least))

    def tell(self, stage: Stage, done: int, total: int, positions: int) -> None:
        """Tell those who wait how far the work is."""
        if self._report is not None:
            self._report(Progress(stage, done, total, positions, self.planned))
