"""The search for a hash without keys: rows of boards laid over one another so that no two disagree.

A hash goes through the digits of a board and multiplies by a number that takes a shift and an addition.  Its low bits
hang on low bits only, so they are the same in words of any length.  Some of its bits are the *row* of a board, others
its *column*; each row is shifted to where its answers meet only free slots, or slots with the same answer.
"""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import Codes

Slots = npt.NDArray[np.int64]

SHIFTS = ((1, 1), (2, 1), (3, -1), (3, 1), (4, -1), (4, 1), (5, -1), (5, 1), (6, 1))
"""Shifts, and whether the hash is added afterwards or taken away: it is multiplied by 3, 5, 7, 9, 15, ..."""
FEW_BOARDS = 600
"""Up to so many boards every pair of shifts is tried."""


class Hash(NamedTuple):
    """How rows and columns come about.

    shifts: one hash, whose low bits are the column and the next ones the row; or two, the first for the rows.
    """

    shifts: tuple[tuple[int, int], ...]
    row_bits: int
    column_bits: int

    @property
    def word_bits(self) -> int:
        """The bits that a word must have, so that one word holds a hash."""
        together = self.row_bits + self.column_bits
        return together if len(self.shifts) == 1 else max(self.row_bits, self.column_bits) + 1

    def of(self, digits: npt.NDArray[np.uint64]) -> tuple[Slots, Slots]:
        """The rows and the columns of boards by their digits, (n, digits)."""
        hashes = [mixed(digits, shift) for shift in self.shifts]
        columns = hashes[-1] & np.uint64((1 << self.column_bits) - 1)
        above = self.column_bits if len(hashes) == 1 else 0
        rows = hashes[0] >> np.uint64(above) & np.uint64((1 << self.row_bits) - 1)
        return rows.astype(np.int64), columns.astype(np.int64)


class Overlaid(NamedTuple):
    """Rows laid over one another: by how much each is shifted, and the answers in all slots."""

    hash: Hash
    shifted: Slots
    slots: Slots

    def bits(self, width: int) -> int:
        """What both tables take, with answers of so many bits."""
        return len(self.shifted) * int(self.shifted.max()).bit_length() + len(self.slots) * width


def mixed(digits: npt.NDArray[np.uint64], shift: tuple[int, int]) -> Codes:
    """The hash of boards by their digits, the first of them multiplied most often; only low bits mean anything."""
    places, sign = shift
    found = np.zeros(len(digits), dtype=np.uint64)
    for column in digits.T:
        moved = found << np.uint64(places)
        found = (moved + found if sign > 0 else moved - found) + column
    return found


def overlaid(digits: npt.NDArray[np.uint64], values: Codes, most_word_bits: int, *, two: bool) -> Overlaid | None:
    """The rows and slots that take the fewest bits, of those that were tried; None if boards always disagree.

    most_word_bits: what `Hash.word_bits` may be; two: whether rows and columns have hashes of their own.
    """
    width, best = int(values.max()).bit_length(), None
    answers = values.astype(np.int64)
    for hash_ in _tried(len(digits), most_word_bits, two=two):
        rows, columns = hash_.of(digits)
        found = _lay(hash_, rows, columns, answers)
        if found is not None and (best is None or found.bits(width) < best.bits(width)):
            best = found
    return best


def _tried(boards: int, most_word_bits: int, *, two: bool) -> Iterator[Hash]:
    """Hashes with from two to sixteen boards a row, and with columns for half of the boards to twice as many."""
    middle = boards.bit_length()
    shifts = SHIFTS if boards <= FEW_BOARDS else SHIFTS[:3]
    kinds = [(one, other) for one in shifts for other in shifts if one != other] if two else [(one,) for one in shifts]
    for row_bits in range(max(1, middle - 4), max(2, middle)):
        for column_bits in range(max(1, middle - 2), middle + 2):
            for kind in kinds:
                hash_ = Hash(kind, row_bits, column_bits)
                if hash_.word_bits <= most_word_bits:
                    yield hash_


def _lay(hash_: Hash, rows: Slots, columns: Slots, answers: Slots) -> Overlaid | None:
    """Each row in turn, the longest first, as far down as it goes; None if boards in one place disagree."""
    triples = np.unique(np.stack([rows, columns, answers]), axis=1)
    if (np.diff(triples[:2], axis=1) == 0).all(axis=0).any():
        return None
    rows, columns, answers = triples
    begins = np.searchsorted(rows, np.arange((1 << hash_.row_bits) + 1))
    shifted = np.zeros(1 << hash_.row_bits, dtype=np.int64)
    most = len(rows) + 1
    slots = np.full(most + (1 << hash_.column_bits), -1, dtype=np.int64)
    for row in np.argsort(-np.diff(begins), kind="stable").tolist():
        here = slice(begins[row], begins[row + 1])
        if begins[row] == begins[row + 1]:
            continue
        free = np.ones(most, dtype=bool)
        for column, answer in zip(columns[here].tolist(), answers[here].tolist(), strict=True):
            held = slots[column : column + most]
            free &= (held == -1) | (held == answer)
        shifted[row] = free.argmax()
        slots[columns[here] + shifted[row]] = answers[here]
    used = int(np.flatnonzero(slots >= 0)[-1]) + 1
    return Overlaid(hash_, shifted, np.maximum(slots[:used], 0))
