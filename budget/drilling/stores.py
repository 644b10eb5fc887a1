"""Machines side by side whose programs differ in a few words: what a drill of faults needs of the simulator.

Every word of the image has a row, so that each machine may hold a word of its own there.  Machines whose instruction
is as the sound program has it obey it together; only the others are told apart by the words that they hold.
"""

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from budget.machine.fleet import Fleet
from budget.machine.group import Group
from budget.machine.operands import Ready
from budget.machine.program import SPACE, Program
from budget.machine.rows import Array, Chosen, Rows, Value, word_type
from budget.machine.states import States

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


class MixedFleet(Fleet):
    """Machines whose programs are the same but for a few words; `rows` are their stores."""

    def __init__(self, states: States, rows: NotedRows) -> None:
        super().__init__(states)
        self.rows = rows
        rows.forget = self._forget
        self._decodings: dict[tuple[int, tuple[int, ...]], Ready] = {}
        """Instructions by their places and words."""

    @classmethod
    def of(cls, program: Program, noise: Sequence[int] = ()) -> "MixedFleet":
        """A machine into which a program was loaded, as it stands after the start key; all its words are noted.

        noise: what stood in the store before, address by address; zeros if it is empty.
        """
        card, words = program.card, words_of_interest(program)
        store = [*noise] or [0] * card.store_words
        for address, word in program.image.items():
            store[address] = word
        rows = NotedRows(np.array(store, dtype=word_type(card.word_bits)), 1, words)
        for address in words.tolist():
            rows.make_row(address)
        rows.changed[words] = True  # so that all that is obeyed is noted, too
        return cls(States(card, rows, program.start, None), rows)

    def chosen(self, machines: npt.ArrayLike) -> "MixedFleet":
        """As in `Fleet`."""
        states = self.states.chosen(np.asarray(machines, dtype=np.intp))
        assert isinstance(states.rows, NotedRows)
        some = MixedFleet(states, states.rows)
        some._decodings = self._decodings
        return some

    def restarted(self, place: int) -> "MixedFleet":
        """The same stores, and the start key pressed: the program begins anew at a place."""
        rows = self.rows.chosen(np.arange(len(self)))
        return MixedFleet(States(self.states.card, rows, place, None), rows)

    def registers(self, known: Links) -> Array:
        """All that decides what waiting machines will do, their stores apart: shape (count, 4)."""
        states = self.states
        links = [known.setdefault(states.links(number), len(known)) for number in range(len(self))]
        return np.column_stack([states.place, states.m, states.carry, np.array(links, dtype=np.int64)])

    def _make_ready(self, group: Group) -> Ready | None:
        """As in `Fleet`; words that all machines have alike need no looking at, though they have rows."""
        first = group.place // self._layout.places_a_word
        if self.rows.changed[first : first + self._layout.most_words].any() or not self.rows.has_row(first):
            return super()._make_ready(group)
        ready = self._decoded(group, {})
        if ready is not None:
            self._ready[group.place] = ready
        return ready

    def _obey_mixed(self, group: Group, addresses: Sequence[int]) -> None:
        """As in `Fleet`; those that hold the sound words do not have to be sorted."""
        differs = np.zeros(len(group), dtype=np.bool_)
        held = [np.asarray(self.rows.read(address, group.chosen)) for address in addresses]
        for address, words in zip(addresses, held, strict=True):
            differs |= words != self.rows.common(address)
        if not differs.all():
            sound = group.part(np.flatnonzero(~differs)) if differs.any() else group
            self._obey_held(sound, addresses, tuple(map(self.rows.common, addresses)))
        others = np.flatnonzero(differs)
        if len(others):
            kinds, kind = _sorted_out([words[others] for words in held])
            for number, each in enumerate(kinds):
                self._obey_held(group.part(others[kind == number]), addresses, each)

    def _obey_held(self, group: Group, addresses: Sequence[int], words: tuple[int, ...]) -> None:
        """Obey the instruction of a group all of whose machines hold the same words there."""
        key = (group.place, words)
        ready = self._decodings.get(key)
        if ready is None:
            ready = self._decoded(group, dict(zip(addresses, words, strict=True)))
            if ready is None:
                return
            self._decodings[key] = ready
        onward = self._orders.obey(group, ready)
        for each in (group,) if onward is None else onward:
            self._wait(each)


def _sorted_out(words: Sequence[Array]) -> tuple[list[tuple[int, ...]], Array]:
    """The different rows that machines hold, and for each machine which it holds."""
    if len(words) == 1:
        found, kind = np.unique(words[0], return_inverse=True)
        return [(word,) for word in found.tolist()], kind
    rows, kind = np.unique(np.stack(words, axis=1), axis=0, return_inverse=True)
    return [tuple(row) for row in rows.tolist()], kind.reshape(-1)


def _nothing(_: int) -> None:
    """Nobody has to be told."""


def words_of_interest(program: Program) -> Array:
    """The addresses of the image and of the workspace, ascending."""
    space = (address for line in program.lines if line.kind == SPACE for address in program.addresses(line))
    return np.array(sorted({*program.image, *space}), dtype=np.intp)
