"""Stores that note who has read and written what; words of a program have rows, so that machines may differ in them."""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from budget.machine.program import SPACE, Program
from budget.machine.rows import Array, Chosen, Rows, Value

Flags = npt.NDArray[np.bool_]
Links = dict[tuple[int, ...], int]
"""A number for every row of links that has come up."""


class NotedRows(Rows):
    """Stores that note, of some words, which machine has read them before it wrote them, and which has written them.

    noted: (n,) addresses; read_first, written: (n, count) flags; changed: (store,) flags of words that are no longer
    the same in all machines; forget: told each of them as it becomes one.
    """

    def __init__(self, common: Array, count: int, noted: Array) -> None:
        super().__init__(common, count)
        self.changed: Flags = np.zeros(len(common), dtype=np.bool_)
        self.forget: Callable[[int], None] = _nothing
        self.note(noted)

    def note(self, noted: Array) -> None:
        """Note these words from now on, as if none had been read or written."""
        self.noted = noted
        self._line = np.full(len(self._common), -1, dtype=np.intp)
        self._line[noted] = np.arange(len(noted))
        self.read_first: Flags = np.zeros((len(noted), self.count), dtype=np.bool_)
        self.written: Flags = np.zeros((len(noted), self.count), dtype=np.bool_)

    def read(self, address: int, chosen: Chosen) -> Value:
        """As in `Rows`."""
        line = self._line[address]
        if line >= 0:
            self.read_first[line][chosen] |= ~self.written[line][chosen]
        return super().read(address, chosen)

    def write(self, address: int, chosen: Chosen, value: Value) -> None:
        """As in `Rows`."""
        line = self._line[address]
        if line >= 0:
            self.written[line][chosen] = True
        if not self.changed[address]:
            self._change(np.array([address]))
        super().write(address, chosen, value)

    def read_each(self, addresses: Array, machines: Array) -> Array:
        """As in `Rows`."""
        lines, which = self._lines(addresses, machines)
        self.read_first[lines, which] |= ~self.written[lines, which]
        return super().read_each(addresses, machines)

    def write_each(self, addresses: Array, machines: Array, value: Value) -> None:
        """As in `Rows`."""
        lines, which = self._lines(addresses, machines)
        self.written[lines, which] = True
        self._change(addresses)
        super().write_each(addresses, machines, value)

    def _change(self, addresses: Array) -> None:
        """Some words are no longer the same in all machines."""
        new = np.unique(addresses[~self.changed[addresses]])
        self.changed[new] = True
        for address in new.tolist():
            self.forget(address)

    def _lines(self, addresses: Array, machines: Array) -> tuple[Array, Array]:
        """Those of some words that are noted: their lines, and the machines."""
        lines = self._line[addresses]
        kept = lines >= 0
        return lines[kept], np.asarray(machines)[kept]

    def chosen(self, machines: Array) -> "NotedRows":
        """As in `Rows`; nothing is noted yet."""
        rows = NotedRows(self._common, len(machines), self.noted)
        rows._row_of = self._row_of.copy()
        rows._table = np.ascontiguousarray(self._table[: self._used, machines])
        rows._used = self._used
        rows.changed = self.changed.copy()
        return rows

    def look_again(self) -> None:
        """Find out which words are the same in all machines: they are faster then, and who obeys them is not noted."""
        addresses = self.addresses()
        differs = (self._table[self._row_of[addresses]] != self._common[addresses][:, None]).any(axis=1)
        self.changed[:] = False
        self.changed[addresses[differs]] = True

    def set_words(self, addresses: Array, machines: Array, words: Array) -> None:
        """Put words into stores, unnoted; each address must have a row."""
        self._change(addresses)
        super().write_each(addresses, machines, words)

    def words(self, addresses: Array) -> Array:
        """The words at some addresses that have rows, for every machine: shape (count, addresses)."""
        return self._table[self._row_of[addresses]].T


def _nothing(_: int) -> None:
    """Nobody has to be told."""


def words_of_interest(program: Program) -> Array:
    """The addresses of the image and of the workspace, ascending."""
    space = (address for line in program.lines if line.kind == SPACE for address in program.addresses(line))
    return np.array(sorted({*program.image, *space}), dtype=np.intp)


def loaded_rows(program: Program, noise: Sequence[int], word_type: np.dtype[Any]) -> NotedRows:
    """The store of one machine into which a program was loaded; noise: what stood in it before, zeros if empty."""
    words = words_of_interest(program)
    store = [*noise] or [0] * program.card.store_words
    for address, word in program.image.items():
        store[address] = word
    rows = NotedRows(np.array(store, dtype=word_type), 1, words)
    for address in words.tolist():
        rows.make_row(address)
    rows.changed[words] = True  # so that all that is obeyed is noted, too
    return rows
