"""What a test tells of a register: it is known to be 0 on one of the two ways, and on that way only."""

import pytest

from budget.card import load_machine
from budget.machine.simulator import HALTED
from budget.programs import machine_for, program_for

CARD = load_machine("twelve-bit-orders")
# Prints what it was given, or 0 where a branch says so.
TESTS = "load given\n{branch} a\nset 0\na: output\nhalt\ngiven: word {given}\n"


def obeyed(branch, given):
    program = program_for(TESTS.format(branch=branch, given=given), CARD)
    machine = machine_for(program)
    assert machine.run() == HALTED
    return program, machine.passed


@pytest.mark.parametrize("given", [0, 5, -1 & 0o377])
@pytest.mark.parametrize("branch", ["ifnonzero", "ifzero", "ifminus"])
def test_what_is_known_is_so(branch, given):
    goes = {"ifnonzero": given != 0, "ifzero": given == 0, "ifminus": False}[branch]
    assert obeyed(branch, given)[1] == [given if goes else 0]


def test_what_is_0_is_not_cleared():
    """After the loop A is 0, so only the first order clears it."""
    text = "load given\nagain: plus -1\nifnonzero again\nset 0\nplus 65\noutput\nhalt\ngiven: word 3\n"
    program = program_for(text, CARD)
    machine = machine_for(program)
    assert machine.run() == HALTED
    assert machine.passed == [65]
    assert sum(line.text.startswith("CLA") for line in program.lines) == 1
