"""Machines of an order sheet whose programs differ in a few words: see `budget.drilling.stores`."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from budget.card import CostCard
from budget.drilling.noted import Links, NotedRows, loaded_rows
from budget.machine.program import Program
from budget.machine.rows import Array
from budget.machine.states import STATUSES
from budget.target.fleet import TargetFleet
from budget.target.group import Group
from budget.target.known import Known
from budget.target.states import States


class SheetMixed(TargetFleet):
    """Machines whose programs are the same but for a few words; `rows` are their stores."""

    def __init__(self, card: CostCard, known: Known, states: States, rows: NotedRows) -> None:
        super().__init__(card, known, states)
        self.rows = rows
        rows.forget = self._forget

    @classmethod
    def of(cls, program: Program, noise: Sequence[int]) -> "SheetMixed":
        """As `budget.drilling.stores.mixed`."""
        card = program.card
        assert card.sheet is not None, "the card says that programs come by an order sheet"
        known = Known(card)
        rows = loaded_rows(program, noise, known.lockstep.number_type)
        loaded = np.array(rows.of(0), dtype=rows.word_type)
        return cls(card, known, States(rows, loaded, program.start, len(card.sheet.registers)), rows)

    def chosen(self, machines: npt.ArrayLike) -> "SheetMixed":
        """As in `TargetFleet`."""
        states = self.states.chosen(np.asarray(machines, dtype=np.intp))
        assert isinstance(states.rows, NotedRows)
        return SheetMixed(self._card, self._known, states, states.rows)

    def restarted(self, place: int) -> "SheetMixed":
        """As in `budget.drilling.stores.MixedFleet`."""
        rows = self.rows.chosen(np.arange(len(self)))
        states = States(rows, self.states.loaded, place, len(self.states.registers) - 1)
        return SheetMixed(self._card, self._known, states, rows)

    def statuses(self) -> list[str]:
        """As in `budget.drilling.stores.MixedFleet`."""
        return [STATUSES[status] for status in self.states.status.tolist()]

    def has_read(self) -> Array:
        """As in `budget.drilling.stores.MixedFleet`."""
        return self._obeying.keys_read

    def registers(self, known: Links) -> Array:
        """As in `budget.drilling.stores.MixedFleet`; links stand in words, and a wrong order may ask what is in A."""
        states = self.states
        registers = states.registers.astype(np.int64)
        registers[-1] *= states.channels[0]  # the code of a key is nothing any more once it was forgotten
        return np.vstack([states.place, registers, states.channels]).T

    def codes(self, machines: Array) -> Array:
        """As in `budget.drilling.stores.MixedFleet`."""
        some = self.chosen(machines)
        columns = some.rows.columns().astype(np.int64)
        return np.hstack([some.states.status[:, None], some.registers({}), columns])

    def _word(self, address: int) -> int | None:
        """As in `TargetFleet`: a word in which no machine differs is the same in all, though it has a row."""
        return None if self.rows.changed[address] else self.rows.common(address)

    def _obey_mixed(self, group: Group, place: int) -> None:
        """As in `TargetFleet`; those that hold the sound word do not have to be sorted."""
        held = np.asarray(self.rows.read(place, group.chosen))
        common = self.rows.common(place)
        differs = held != common
        if not differs.all():
            sound = group.part(np.flatnonzero(~differs)) if differs.any() else group
            self._obey_word(sound, place, common)
        others = np.flatnonzero(differs)
        words = held[others]
        for word in np.unique(words).tolist():
            self._obey_word(group.part(others[words == word]), place, word)
