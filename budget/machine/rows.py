"""The stores of many machines: one copy of every word that is the same in all, a row for each word that may not be.

A value is an ``int`` where all machines of a group have the same, else an array with an entry for each of them.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[Any]
Value = int | Array
Chosen = Array | slice
"""Which machines: their numbers, or all of them."""
FIRST_ROWS = 16


def word_type(bits: int) -> np.dtype[Any]:
    """The narrowest unsigned numbers that hold words of so many bits."""
    return np.dtype(next(f"uint{size}" for size in (8, 16, 32, 64) if size >= bits))


class Rows:
    """The stores of `count` machines, each loaded with the same words.

    is_row: for each address whether it has a row, shape (store,); a row holds the word of every machine.
    """

    def __init__(self, common: Array, count: int) -> None:
        self.count = count
        self.word_type: np.dtype[Any] = common.dtype
        self._common = common
        self._row_of = np.full(len(common), -1, dtype=np.intp)
        self._table = np.empty((FIRST_ROWS, count), dtype=self.word_type)
        self._used = 0

    @classmethod
    def loaded(cls, words: Sequence[int], word_bits: int, count: int) -> "Rows":
        """Stores that hold the same words, each of so many bits."""
        return cls(np.array(words, dtype=word_type(word_bits)), count)

    def has_row(self, address: int) -> bool:
        """Whether machines may differ in this word."""
        return bool(self._row_of[address] >= 0)

    def common(self, address: int) -> int:
        """The word of an address that has no row: it is the same in all machines."""
        return int(self._common[address])

    def make_row(self, address: int) -> None:
        """Give a word a row of its own."""
        if self._used == len(self._table):
            grown = np.empty((2 * self._used + 1, self.count), dtype=self.word_type)
            grown[: self._used] = self._table
            self._table = grown
        self._table[self._used] = self._common[address]
        self._row_of[address] = self._used
        self._used += 1

    def addresses(self) -> Array:
        """The addresses that have rows, ascending."""
        return np.flatnonzero(self._row_of >= 0)

    def read(self, address: int, chosen: Chosen) -> Value:
        """The word of one address in some machines."""
        row = int(self._row_of[address])
        if row < 0:
            return int(self._common[address])
        words: Array = self._table[row]
        return words[chosen].copy() if isinstance(chosen, slice) else words.take(chosen)

    def write(self, address: int, chosen: Chosen, value: Value) -> None:
        """Write the word of one address, which must have a row."""
        self._table[int(self._row_of[address])][chosen] = value

    def read_each(self, addresses: Array, machines: Array) -> Array:
        """The word of an address for each of some machines; both of shape (n,)."""
        rows = self._row_of[addresses]
        kept = rows >= 0
        if not kept.any():
            return self._common[addresses]
        own = self._table.reshape(-1).take(np.maximum(rows, 0) * self.count + machines)
        return own if kept.all() else np.where(kept, own, self._common[addresses])

    def write_each(self, addresses: Array, machines: Array, value: Value) -> None:
        """Write a word of an address, which must have a row, for each of some machines."""
        self._table.reshape(-1)[self._row_of[addresses] * self.count + machines] = value

    def of(self, machine: int) -> list[int]:
        """The whole store of one machine."""
        store = self._common.copy()
        kept = self.addresses()
        store[kept] = self._table[self._row_of[kept], machine]
        return [int(word) for word in store]

    def columns(self) -> Array:
        """The words that have rows, for every machine: shape (count, rows), in the order of `addresses`."""
        return self._table[self._row_of[self.addresses()]].T

    def chosen(self, machines: Array) -> "Rows":
        """The stores of some machines, each as often as it is named."""
        rows = Rows(self._common, len(machines))
        rows._row_of = self._row_of.copy()
        rows._table = np.ascontiguousarray(
            self._table[: self._used, machines]
        )  # rows must follow one another
        rows._used = self._used
        return rows
