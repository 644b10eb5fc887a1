"""Machines of our own orders whose programs differ in a few words: see `budget.drilling.stores`."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from budget.drilling.noted import Links, NotedRows, loaded_rows
from budget.machine.fleet import Fleet
from budget.machine.group import Group
from budget.machine.operands import Ready
from budget.machine.program import Program
from budget.machine.rows import Array, word_type
from budget.machine.states import States


class OwnMixed(Fleet):
    """Machines whose programs are the same but for a few words; `rows` are their stores."""

    def __init__(self, states: States, rows: NotedRows) -> None:
        super().__init__(states)
        self.rows = rows
        rows.forget = self._forget
        self._decodings: dict[tuple[int, tuple[int, ...]], Ready] = {}
        """Instructions by their places and words."""

    @classmethod
    def of(cls, program: Program, noise: Sequence[int]) -> "OwnMixed":
        """As `budget.drilling.stores.mixed`."""
        rows = loaded_rows(program, noise, word_type(program.card.word_bits))
        return cls(States(program.card, rows, program.start, None), rows)

    def chosen(self, machines: npt.ArrayLike) -> "OwnMixed":
        """As in `Fleet`."""
        states = self.states.chosen(np.asarray(machines, dtype=np.intp))
        assert isinstance(states.rows, NotedRows)
        some = OwnMixed(states, states.rows)
        some._decodings = self._decodings
        return some

    def restarted(self, place: int) -> "OwnMixed":
        """As in `budget.drilling.stores.MixedFleet`."""
        rows = self.rows.chosen(np.arange(len(self)))
        return OwnMixed(States(self.states.card, rows, place, None), rows)

    def has_read(self) -> Array:
        """As in `budget.drilling.stores.MixedFleet`."""
        return self._orders.read

    def codes(self, machines: Array) -> Array:
        """As in `budget.drilling.stores.MixedFleet`."""
        return self.states.chosen(machines).codes()

    def registers(self, known: Links) -> Array:
        """As in `budget.drilling.stores.MixedFleet`; what is in A does not matter, for `input` fills it."""
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
            self._turns.wait(each)


def _sorted_out(words: Sequence[Array]) -> tuple[list[tuple[int, ...]], Array]:
    """The different rows that machines hold, and for each machine which it holds."""
    if len(words) == 1:
        found, kind = np.unique(words[0], return_inverse=True)
        return [(word,) for word in found.tolist()], kind
    rows, kind = np.unique(np.stack(words, axis=1), axis=0, return_inverse=True)
    return [tuple(row) for row in rows.tolist()], kind.reshape(-1)
