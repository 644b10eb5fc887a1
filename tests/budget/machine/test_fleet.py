"""Machines side by side: what the random programs of test_simulators may not meet."""

import numpy as np
import pytest

from budget.card import load_machine
from budget.machine.assembler import assemble
from budget.machine.fleet import Fleet
from budget.machine.simulator import HALTED, WAITING

CARD = load_machine("twelve-bit")
NOTES = """\
ask:    input
        store key
        set 1
        by key
        store seen
        jump ask
key:    space 1
seen:   word 0, 0, 0, 0
"""


def fleet_of(text, count):
    program = assemble(text, CARD)
    fleet = Fleet.loaded(program, count)
    fleet.run()
    return program, fleet


def test_chosen_machines_go_on_by_themselves():
    program, fleet = fleet_of(NOTES, 3)
    fleet.run([[0], [1, 3], [2]])  # every word that will be written has a row of its own from here on
    chosen = fleet.chosen([2, 0, 0, 2, 1])
    chosen.run([[3], [3], [1], [0], []])
    seen = program.labels["seen"]
    stores = [chosen.states.rows.of(number)[seen : seen + 4] for number in range(5)]
    assert stores == [[0, 0, 1, 1], [1, 0, 0, 1], [1, 1, 0, 0], [1, 0, 1, 0], [0, 1, 0, 1]]
    assert fleet.states.rows.of(0)[seen : seen + 4] == [1, 0, 0, 0]


def test_states_are_equal_where_machines_will_do_the_same():
    _, fleet = fleet_of(NOTES, 3)
    fleet.run([[1, 2], [2, 1], [1, 1, 2]])
    codes = fleet.states.codes()
    assert (codes[0] == codes[2]).all()
    assert (codes[0] != codes[1]).any()  # the key that was pressed last


def test_inputs_as_an_array_and_as_lists():
    _, listed = fleet_of(NOTES, 2)
    _, tabled = fleet_of(NOTES, 2)
    listed.run([[1, 2], [3, 0]])
    tabled.run(np.array([[1, 2], [3, 0]]))
    assert (listed.states.codes() == tabled.states.codes()).all()
    with pytest.raises(ValueError, match="1 inputs for 2 machines"):
        listed.run([[1]])


def test_who_has_halted_stays_so():
    _, fleet = fleet_of("input\nifzero stop\ninput\nstop: halt", 2)
    fleet.run([[0], [1]])
    assert fleet.statuses() == [HALTED, WAITING]
    fleet.run([[5], [5]])
    assert fleet.statuses() == [HALTED, HALTED]
    assert fleet.states.characters_in.tolist() == [1, 2]
    assert len(fleet.chosen([])) == 0


def test_every_machine_shifts_and_jumps_by_what_it_has_read():
    text = """\
        input
        store k
        set -1
        by k
        right 0
        by k
        left 1
        store x
        by k
        jump on
on:     count x
        count x
        halt
k:      space 1
x:      space 1
"""
    program, fleet = fleet_of(text, 4)
    fleet.run([[0], [1], [2], [2000]])
    shifted = [fleet.states.rows.of(number)[program.labels["x"]] for number in range(4)]
    assert shifted == [(0o7776 + 2) % 4096, (0o3777 << 2) % 4096 + 1, (0o1777 << 3) % 4096, 0]
    assert fleet.statuses() == [HALTED] * 4


@pytest.mark.parametrize("machine", ["twelve-bit", "transistor-39", "home-1k", "relay-256"])
def test_programs_that_alter_themselves(machine):
    """Each machine goes round as often as it has been told, and its instruction leads one word further each time."""
    card = load_machine(machine)
    in_words = card.program.layout.shape == "words"
    text = """\
        input
        negate
        store left_over
        jump it
        at 20
it:     load {whole}list
        output
        count {part}
        count left_over
        ifnonzero it
        halt
        at 60
list:   word 1, 2, 3, 4
left_over: space 1
"""
    program = assemble(text.format(whole="!" * in_words, part="it+1" if in_words else "it"), card)
    fleet = Fleet.loaded(program, 3)
    fleet.run([[1], [4], [2]])
    assert fleet.statuses() == [HALTED] * 3
    assert fleet.sent == [[1], [1, 2, 3, 4], [1, 2]]
