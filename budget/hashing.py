"""The search for a hash without keys: rows of boards laid over one another so that no two disagree.

A hash goes through the digits of a board and multiplies by a number that takes a shift and an addition.  Its low bits
hang on low bits only, so they are the same in words of any length.  Some of its bits are the *row* of a board, others
its *column*; each row is shifted to where its answers meet only free slots, or slots with the same answer.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import Codes

Slots = npt.NDArray[np.int64]

SHIFTS = ((1, 1), (2, 1), (3, -1), (3, 1), (4, -1), (4, 1), (5, -1), (5, 1), (6, -1), (6, 1), (1, 0), (2, 0))
"""Shifts, and whether the hash is added afterwards, or taken away: it is multiplied by 3, 5, 7, ... or by 2 or 4."""
FEW_BOARDS = 600
"""Up to so many boards every pair of shifts is tried."""


class Hash(NamedTuple):
    """How rows and columns come about.

    shifts: one hash, whose upper bits are the row and the lower ones the column; or two, whose upper bits are the row
    and the column.  bits: how many of a hash count; a word must have as many.
    """

    shifts: tuple[tuple[int, int], ...]
    bits: int
    row_bits: int
    column_bits: int

    @property
    def beside_row(self) -> int:
        """How many bits of the first hash are below those of the row."""
        return self.bits - self.row_bits

    @property
    def beside_column(self) -> int:
        """How many bits of the last hash are below those of the column."""
        return 0 if len(self.shifts) == 1 else self.bits - self.column_bits

    def of(self, digits: npt.NDArray[np.uint64]) -> tuple[Slots, Slots]:
        """The rows and the columns of boards by their digits, (n, digits)."""
        return self.parted([mixed(digits, shift) for shift in self.shifts])

    def parted(self, hashes: Sequence[Codes]) -> tuple[Slots, Slots]:
        """The same by the hashes of the boards, for each shift one."""
        rows = hashes[0] >> np.uint64(self.beside_row) & np.uint64((1 << self.row_bits) - 1)
        columns = hashes[-1] >> np.uint64(self.beside_column) & np.uint64((1 << self.column_bits) - 1)
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
        found = moved + np.uint64(sign % (1 << 64)) * found + column
    return found


def overlaid(digits: npt.NDArray[np.uint64], values: Codes, lengths: Sequence[int]) -> list[Overlaid]:
    """For each length of words the rows and slots that take the fewest bits, of those that were tried; each once."""
    width = int(values.max()).bit_length()
    best: dict[int, Overlaid] = {}
    answers = values.astype(np.int64)
    hashes = {shift: mixed(digits, shift) for shift in SHIFTS}
    for hash_ in _tried(len(digits), lengths):
        better = [length for length in lengths if length >= hash_.bits]
        found = _lay(hash_, *hash_.parted([hashes[shift] for shift in hash_.shifts]), answers)
        if found is None:
            continue
        for length in better:
            if length not in best or found.bits(width) < best[length].bits(width):
                best[length] = found
    return list({id(found): found for found in best.values()}.values())


def _tried(boards: int, lengths: Sequence[int]) -> Iterator[Hash]:
    """Hashes with from two to sixteen boards a row, and with columns for half of the boards to twice as many.

    Two hashes take more instructions than one, so they are tried only where one would have more bits than a word.
    """
    middle = boards.bit_length()
    shifts = SHIFTS if boards <= FEW_BOARDS else SHIFTS[:3]
    pairs = [(one, other) for one in shifts for other in shifts if one != other]
    for row_bits in range(max(1, middle - 4), max(2, middle)):
        for column_bits in range(max(1, middle - 2), middle + 2):
            together = row_bits + column_bits
            if together <= max(lengths):
                yield from (Hash((one,), together, row_bits, column_bits) for one in shifts)
            if max(row_bits, column_bits) <= min(lengths) < together:
                yield from (Hash(pair, min(lengths), row_bits, column_bits) for pair in pairs)


def _lay(hash_: Hash, rows: Slots, columns: Slots, answers: Slots) -> Overlaid | None:
    """Each row in turn, the longest first, as far down as it goes; None if boards disagree, or there is no room."""
    places = rows << hash_.column_bits | columns
    order = np.argsort(places, kind="stable")
    places, rows, columns, answers = places[order], rows[order], columns[order], answers[order]
    again = places[1:] == places[:-1]
    if (again & (answers[1:] != answers[:-1])).any():
        return None
    first = np.concatenate([[True], ~again])
    rows, columns, answers = rows[first], columns[first], answers[first]
    begins = np.searchsorted(rows, np.arange((1 << hash_.row_bits) + 1))
    shifted = np.zeros(1 << hash_.row_bits, dtype=np.int64)
    most = len(rows) + (1 << hash_.column_bits) + 1
    slots = np.full(most + (1 << hash_.column_bits), -1, dtype=np.int64)
    for row in np.argsort(-np.diff(begins), kind="stable").tolist():
        here = slice(begins[row], begins[row + 1])
        if begins[row] == begins[row + 1]:
            continue
        free = np.ones(most, dtype=bool)
        for column, answer in zip(columns[here].tolist(), answers[here].tolist(), strict=True):
            held = slots[column : column + most]
            free &= (held == -1) | (held == answer)
        if not free.any():
            return None
        shifted[row] = free.argmax()
        slots[columns[here] + shifted[row]] = answers[here]
    used = int(np.flatnonzero(slots >= 0)[-1]) + 1
    return Overlaid(hash_, shifted, np.maximum(slots[:used], 0))
