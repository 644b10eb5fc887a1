"""Machines side by side whose programs differ in a few words: what a drill of faults needs of the simulators.

Every word of the image has a row, so that each machine may hold a word of its own there.  Machines whose instruction
is as the sound program has it obey it together; only the others are told apart by the words that they hold.
"""

from collections.abc import Sequence
from typing import Protocol

import numpy.typing as npt

from budget.card import ORDER_SHEET
from budget.drilling.noted import Links, NotedRows
from budget.drilling.own_stores import OwnMixed
from budget.drilling.sheet_stores import SheetMixed
from budget.machine.program import Program
from budget.machine.rows import Array
from budget.machine.simulator import USUAL_LIMIT
from budget.machine.states import States
from budget.target.states import States as SheetStates


class MixedFleet(Protocol):
    """Machines whose programs are the same but for a few words, of our own orders or of an order sheet.

    states, rows: how they stand, and their stores; sent: what each has sent in the last run, code by code.
    """

    rows: NotedRows
    sent: list[list[int]]

    @property
    def states(self) -> States | SheetStates:
        """How each stands."""
        ...

    def __len__(self) -> int: ...

    def chosen(self, machines: npt.ArrayLike) -> "MixedFleet":
        """Some of them as they stand, each as often as it is named."""
        ...

    def restarted(self, place: int) -> "MixedFleet":
        """The same stores, and the start key pressed: the program begins anew at a place."""
        ...

    def run(self, codes: Sequence[Sequence[int]] = (), limit: int = USUAL_LIMIT) -> None:
        """Let each read what was typed for it, until it stands still, or has obeyed so many instructions."""
        ...

    def statuses(self) -> list[str]:
        """How each stands, in words."""
        ...

    def has_read(self) -> Array:
        """How many codes each has read in the last run: (count,)."""
        ...

    def registers(self, known: Links) -> Array:
        """All that decides what waiting machines will do, their stores apart: (count, k)."""
        ...

    def codes(self, machines: Array) -> Array:
        """All that decides what some of them will do, stores too: equal rows will do the same.  (len(machines), k)."""
        ...


def mixed(program: Program, noise: Sequence[int] = ()) -> MixedFleet:
    """A machine into which a program was loaded, as it stands after the start key; all its words are noted.

    noise: what stood in the store before, address by address; zeros if it is empty.
    """
    if program.card.programs == ORDER_SHEET:
        return SheetMixed.of(program, noise)
    return OwnMixed.of(program, noise)
