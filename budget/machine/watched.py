"""Stores that notice when a word is read that has not been written since they were chosen: what was left there matters.

A word that is always written before it is read carries nothing from one run to the next.  So states that differ in
such words only will do the same, and whoever looks for all states of a program need not tell them apart.
"""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from budget.machine.rows import Array, Chosen, Rows, Value, word_type


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
        self._place[watched] = np.arange(int(watched.sum()))
        self._stale = np.ones((int(watched.sum()), self.count), dtype=np.bool_)

    @classmethod
    def watching(
        cls, words: Sequence[int], word_bits: int, count: int, watched: npt.NDArray[np.bool_]
    ) -> "WatchedRows":
        """Stores that hold the same words, of which those flagged are watched."""
        return cls(np.array(words, dtype=word_type(word_bits)), count, watched)

    def read(self, address: int, chosen: Chosen) -> Value:
        """As in `Rows`."""
        place = self._place[address]
        if place >= 0 and not self.leftover[address]:
            self.leftover[address] = bool(self._stale[place][chosen].any())
        return super().read(address, chosen)

    def write(self, address: int, chosen: Chosen, value: Value) -> None:
        """As in `Rows`."""
        if self._place[address] >= 0:
            self._stale[self._place[address]][chosen] = False
        super().write(address, chosen, value)

    def read_each(self, addresses: Array, machines: Array) -> Array:
        """As in `Rows`."""
        addresses = np.broadcast_to(addresses, np.shape(machines))
        places = self._place[addresses]
        kept = places >= 0
        if kept.any():
            left = addresses[kept][self._stale[places[kept], machines[kept]]]
            self.leftover[left] = True
        return super().read_each(addresses, machines)

    def write_each(self, addresses: Array, machines: Array, value: Value) -> None:
        """As in `Rows`."""
        places = self._place[addresses]
        kept = places >= 0
        self._stale[places[kept], machines[kept]] = False
        super().write_each(addresses, machines, value)

    def chosen(self, machines: Array) -> "WatchedRows":
        """As in `Rows`; nothing has been written in the new stores yet, and what was noticed is known to them."""
        rows = WatchedRows(self._common, len(machines), self.watched)
        rows.leftover = self.leftover
        rows._row_of = self._row_of.copy()
        rows._table = np.ascontiguousarray(self._table[: self._used, machines])
        rows._used = self._used
        return rows
