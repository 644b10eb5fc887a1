"""Stores that notice when a word is read that has not been written since they were chosen: what was left there matters.

A word that is always written before it is read carries nothing from one run to the next.  So states that differ in
such words only will do the same, and whoever looks for all states of a program need not tell them apart.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from budget.machine.rows import FIRST_ROWS, Array, Chosen, Rows, Value, word_type


class WatchedRows(Rows):
    """The stores of `count` machines, some words of which are watched.

    watched: (store,) flags; leftover: (store,) the watched words that some machine has read before it wrote them.
    """

    def __init__(self, common: Array, count: int, watched: npt.NDArray[np.bool_]) -> None:
        super().__init__(common, count)
        self.watch(watched)

    def watch(self, watched: npt.NDArray[np.bool_]) -> None:
        """Watch these words from now on, as if none had been written."""
        self.watched = watched
        self.leftover = np.zeros(len(watched), dtype=np.bool_)
        self._place = np.full(len(watched), -1, dtype=np.intp)
        self._stale = np.empty((0, self.count), dtype=np.bool_)
        self._stale_rows = 0

    @classmethod
    def watching(
        cls, words: Sequence[int], word_bits: int, count: int, watched: npt.NDArray[np.bool_]
    ) -> "WatchedRows":
        """Stores that hold the same words, of which those flagged are watched."""
        return cls(np.array(words, dtype=word_type(word_bits)), count, watched)

    def read(self, address: int, chosen: Chosen) -> Value:
        """As in `Rows`."""
        if self.watched[address] and not self.leftover[address]:
            place = self._place[address]
            self.leftover[address] = place < 0 or bool(self._stale[place][chosen].any())
        return super().read(address, chosen)

    def write(self, address: int, chosen: Chosen, value: Value) -> None:
        """As in `Rows`."""
        if self.watched[address]:
            row = self._stale_row(address)
            self._stale[row][chosen] = False
        super().write(address, chosen, value)

    def read_each(self, addresses: Array, machines: Array) -> Array:
        """As in `Rows`."""
        addresses = np.broadcast_to(addresses, np.shape(machines))
        kept = self.watched[addresses]
        if kept.any():
            watched, places = addresses[kept], self._place[addresses[kept]]
            is_left = places < 0
            is_left[~is_left] = self._stale[places[~is_left], machines[kept][~is_left]]
            self.leftover[watched[is_left]] = True
        return super().read_each(addresses, machines)

    def write_each(self, addresses: Array, machines: Array, value: Value) -> None:
        """As in `Rows`."""
        kept = self.watched[addresses]
        if kept.any():
            for address in set(addresses[kept].tolist()):
                self._stale_row(address)
            self._stale[self._place[addresses[kept]], machines[kept]] = False
        super().write_each(addresses, machines, value)

    def _stale_row(self, address: int) -> int:
        """The row of a watched word that says which machines have not written it: all, when it is new."""
        if self._place[address] < 0:
            if self._stale_rows == len(self._stale):
                grown = np.empty((2 * self._stale_rows + FIRST_ROWS, self.count), dtype=np.bool_)
                grown[: self._stale_rows] = self._stale
                self._stale = grown
            self._stale[self._stale_rows] = True
            self._place[address] = self._stale_rows
            self._stale_rows += 1
        return int(self._place[address])

    def chosen(self, machines: Array) -> "WatchedRows":
        """As in `Rows`; nothing has been written in the new stores yet, and what was noticed is known to them."""
        rows = WatchedRows(self._common, len(machines), self.watched)
        rows.leftover = self.leftover
        rows._row_of = self._row_of.copy()
        rows._table = np.ascontiguousarray(self._table[: self._used, machines])
        rows._used = self._used
        return rows
