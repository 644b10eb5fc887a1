"""Words on a store that turns lie where least is waited for them: against all ways to place them."""

from itertools import permutations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.card import load_machine, parse_machine
from budget.machine.assembler import assemble
from budget.machine.placement import assigned
from budget.machine.program import INSTRUCTION
from budget.machine.simulator import HALTED, Machine

DRUM = parse_machine(
    """\
kind = "machine"
from = "made for this test"
word-bits = 18
store-words = 26

[characters]
code = "ita2"

[time]
cycle = "1 ms"
cycles = 2

[time.turning]
words = 13
spacing = 5
""",
    "small-drum.toml",
)
STRAIGHT = """\
        load x
        add y
        count z
        add x
        store y
        halt
        {how}
x:      word 1
y:      word 2
z:      word 3
"""
TOTAL = """\
start:  set -9
        store i
again:  load sum
        add i
        subtract =3
        store sum
        count i
        ifnonzero again
        load sum
        halt
        loose
i:      space 1
sum:    word 0
        pool
"""


@given(st.data(), st.integers(1, 4), st.integers(0, 3))
def test_the_assignment_is_the_cheapest_of_all(data, rows, more):
    shape = (rows, rows + more)
    prices = np.array(
        data.draw(st.lists(st.integers(0, 9), min_size=shape[0] * shape[1], max_size=shape[0] * shape[1]))
    )
    prices = prices.reshape(shape)
    columns = assigned(prices)
    assert len(set(columns)) == rows
    least = min(
        sum(prices[row, column] for row, column in enumerate(each))
        for each in permutations(range(shape[1]), rows)
    )
    assert sum(prices[row, column] for row, column in enumerate(columns)) == least


def cycles(program, angle=0):
    machine = Machine.loaded(program, angle=angle)
    assert machine.run() == HALTED
    return machine.clock.cycles


@pytest.mark.long
def test_no_other_place_is_better():
    """All ways to place three words in the twenty that are left."""
    placed = cycles(assemble(STRAIGHT.format(how="loose"), DRUM))
    in_turn = cycles(assemble(STRAIGHT.format(how=""), DRUM))
    least = in_turn
    for x, y, z in permutations(range(6, 26), 3):
        where = f"at {x}\nx: word 1\nat {y}\ny: word 2\nat {z}\nz: word 3"
        least = min(least, cycles(assemble(STRAIGHT.partition("{how}")[0] + where, DRUM)))
    assert placed == least < in_turn


@pytest.mark.parametrize("card", [DRUM, load_machine("drum-desk")], ids=lambda card: card.name)
def test_what_the_program_does_stays_the_same(card):
    loose = assemble(TOTAL, card)
    fixed = assemble(TOTAL.replace("loose", ""), card)
    results = []
    for program in (loose, fixed):
        machine = Machine.loaded(program)
        assert machine.run() == HALTED
        results.append((machine.a, machine.instructions))
    assert results[0] == results[1]
    assert loose.words() == fixed.words()
    assert cycles(loose) < cycles(fixed)


def test_what_is_done_often_weighs_more():
    lines = TOTAL.split("\n")
    counts = {number: 9 for number, line in enumerate(lines, 1) if 3 <= number <= 8}
    assert cycles(assemble(TOTAL, DRUM, counts=counts)) <= cycles(assemble(TOTAL, DRUM))


@pytest.mark.parametrize(
    "use", ["look x", "load x+1", "by x\nload x", "load =x", "a = x\nload a", "word x", "set x"]
)
def test_a_word_of_which_more_is_known_stays(use):
    """Where its neighbours or its address matter, it lies where the text has it."""
    text = "{how}\nx: word 1\ny: word 2\nat 10\nload x\nload y\n" + use + "\nhalt"
    plain = assemble(text.format(how=""), DRUM)
    loose = assemble(text.format(how="loose"), DRUM)
    assert loose.labels["x"] == plain.labels["x"] == 0
    assert loose.labels["y"] != plain.labels["y"]


def test_loose_words_on_other_machines_stay_in_their_order():
    card = load_machine("twelve-bit")
    assert assemble(TOTAL, card).image == assemble(TOTAL.replace("loose", ""), card).image


def test_at_ends_what_is_loose():
    text = "load x\nhalt\nloose\nat 20\nx: word 1"
    assert assemble(text, DRUM).labels["x"] == 20
    label_above = "load x\nload z\nhalt\nloose\nz:\nx: word 1"
    program = assemble(label_above, DRUM)
    assert program.labels["x"] == program.labels["z"] == 3
    assert [line.kind for line in program.lines][:3] == [INSTRUCTION] * 3
