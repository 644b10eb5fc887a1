"""Traces: what learners draw on paper, filled and blank, and addition one digit a clock."""

import itertools

from hypothesis import given
from hypothesis import strategies as st

from budget.card import load_machine
from budget.machine.assembler import assemble
from budget.machine.simulator import Machine
from budget.machine.trace import added, bits, plainly, serial_addition, told, traced, word_name

CARD = load_machine("twelve-bit")
TEXT = """\
start:  input           # a number
        store two+1
        by two
        load two
        add two
        output
        count it        # the program alters itself
it:     load 100
        halt
two:    word 1
        space 1
"""


def steps_of(text, codes=()):
    program = assemble(text, CARD)
    machine = Machine.loaded(program)
    machine.feed(codes)
    return program, list(machine.steps(100))


def test_a_value_is_written_where_it_changes():
    program, steps = steps_of(TEXT, [5])
    table = traced(program, steps)
    assert table.titles == ("step", "at", "instruction", "A", "M", "two+1", "it", "input", "output")
    assert table.rows == (
        ("1", "0", "input", "5", "", "", "", "5", ""),
        ("2", "1", "store two+1", "", "", "5", "", "", ""),
        ("3", "2", "by two", "", "1", "", "", "", ""),
        ("4", "3", "load two", "", "0", "", "", "", ""),
        ("5", "4", "add two", "6", "", "", "", "", ""),
        ("6", "5", "output", "", "", "", "", "", "6"),
        ("7", "6", "count it", "357", "", "", "357", "", ""),
        ("8", "7", "load 145", "0", "", "", "", "", ""),
        ("9", "10", "halt", "", "", "", "", "", ""),
    )


def test_one_column_for_all_that_is_written():
    program, steps = steps_of(TEXT, [5])
    table = traced(program, steps, wide=False)
    assert table.titles == ("step", "at", "instruction", "A", "M", "written", "input", "output")
    assert [row[5] for row in table.rows if row[5]] == ["two+1 = 5", "it = 357"]


def test_a_blank_table_has_the_same_shape_and_says_nothing():
    program, steps = steps_of(TEXT, [5])
    filled, blank = traced(program, steps), traced(program, steps, blank=True)
    assert blank.titles == filled.titles
    assert blank.rows == tuple((row[0], *[""] * (len(row) - 1)) for row in filled.rows)


def test_columns_that_nothing_needs_are_left_out():
    program, steps = steps_of("set 3\nstore x\nhalt\nx: space 1")
    assert traced(program, steps).titles == ("step", "at", "instruction", "A", "x")


def test_an_altered_instruction_is_told_as_it_is():
    program, steps = steps_of(TEXT, [5])
    assert [told(program, step) for step in steps[6:8]] == ["count it", "load 145"]
    assert plainly(program, steps[0].instruction) == "input"


def test_an_instruction_where_nothing_was_loaded():
    program, steps = steps_of("set 0\nstore x\njump x\nx: space 1")
    assert told(program, steps[-1]) == "halt"


def test_words_are_called_by_the_label_before_them():
    program, _ = steps_of("word 1\nx: word 1, 2\ny: word 3")
    assert [word_name(program, address) for address in range(5)] == ["0", "x", "x+1", "y", "4"]


@given(st.integers(0, 4095), st.integers(0, 4095), st.integers(0, 1))
def test_serial_addition_adds(first, second, carry):
    clocks = list(serial_addition(first, second, 12, carry))
    total = first + second + carry
    assert [clock.clock for clock in clocks] == list(range(1, 13))
    assert sum(clock.digit << number for number, clock in enumerate(clocks)) == total % 4096
    assert clocks[-1].carry_out == total >> 12
    assert all(before.carry_out == after.carry_in for before, after in itertools.pairwise(clocks))


@given(st.integers(-2048, 2047), st.integers(-128, 127))
def test_what_is_added_gives_what_the_machine_has(word, number):
    program, steps = steps_of(
        f"load x\nadd x\nsubtract y\nplus {number}\nnegate\ncount x\nhalt\nx: word {word}\ny: word 77"
    )
    before = 0
    for step in steps:
        addition = added(program, before, step)
        assert (addition is None) == (step.instruction.order.name in ("load", "halt"))
        if addition:
            digits = [clock.digit for clock in serial_addition(*addition[:2], 12, addition[2])]
            assert sum(digit << place for place, digit in enumerate(digits)) == step.a
        before = step.a
    assert bits(5, 4) == "0 1 0 1"
