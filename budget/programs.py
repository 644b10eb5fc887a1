"""One way to programs for any machine: a text in our orders, in the words that the card asks for, and what runs it."""

from pathlib import Path

from budget.card import COMPILER, ORDER_SHEET, CostCard
from budget.machine.assembler import assemble
from budget.machine.program import Program
from budget.machine.simulator import Machine
from budget.target.machine import TargetMachine
from budget.target.program import expand
from games.problems import bad
from games.tomlfile import read_text

AnyMachine = Machine | TargetMachine
"""What runs a program: to its callers both are alike."""


def program_for(text: str, card: CostCard, file: str = "") -> Program:
    """A program text in words of a machine, assembled or expanded as its card says.

    `file` is what messages call it.  Raises BadInput with every mistake, and for a machine that a compiler reaches.
    """
    if card.programs == COMPILER:
        raise bad(
            f"the machine '{card.name}' is programmed through a compiler; expected one that takes orders",
            file,
        )
    return expand(text, card, file) if card.programs == ORDER_SHEET else assemble(text, card, file)


def program_of_file(path: str | Path, card: CostCard) -> Program:
    """The same for a text file."""
    return program_for(read_text(path), card, str(path))


def machine_for(program: Program, *, fill: int = 0) -> AnyMachine:
    """A machine into which a program was loaded; `fill` stands wherever it leaves the store alone."""
    if program.card.programs == ORDER_SHEET:
        return TargetMachine.loaded(program, fill=fill)
    return Machine.loaded(program, fill=fill)
