"""Constants that are taken from data: only from data that nothing writes."""

import pytest

from budget.card import load_machine
from budget.machine.channel import printed
from budget.machine.program import CONSTANT
from budget.machine.simulator import HALTED
from budget.programs import machine_for, program_for
from budget.target.pal import pal_source
from budget.target.program import expanded, written
from tests.budget.target.outside import assembled, needs_palbart

CARD = load_machine("twelve-bit-orders")
# Prints a letter that stands in a table; what is done before it may have written the table.
PRINTS = """
{before}
set 'Q'
output
look table-'Q'
output
halt
pool
table: word 'A', 'Q'
i: space 1
pool
j: space 1
"""


def constants(before):
    return program_for(PRINTS.format(before=before), CARD).words(CONSTANT)


@pytest.mark.parametrize(
    "before",
    ["store table", "by j\nstore table", "store i", "load =table\nstore j", "count table+1", "set table"],
)
def test_data_that_may_be_written_holds_no_constant(before):
    assert constants(before) > constants("store j")


@pytest.mark.parametrize(
    "before", ["store j", "set 1\nstore table", "set 'X'\nstore table+1\nset 0\nstore i"]
)
def test_the_letter_is_right(before):
    machine = machine_for(program_for(PRINTS.format(before=before), CARD))
    assert machine.run() == HALTED
    assert printed(CARD, machine.passed)[0] == "Q"


@needs_palbart
def test_palbart_makes_the_same_words(tmp_path):
    text = PRINTS.format(before="store j")
    placed = expanded(text, CARD, "prints.orders")
    assert placed.shared
    source = pal_source(placed, CARD.sheet, text.split("\n"), "prints")
    assert assembled(source, tmp_path) == written(placed, text, CARD, "prints.orders").image
