"""The simulators against the slow machine, on programs made at random."""

from contextlib import contextmanager
from copy import deepcopy

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from budget.machine import fleet as fleet_module
from budget.machine.fleet import Fleet
from budget.machine.hurried import Hurried
from budget.machine.simulator import Machine
from budget.machine.states import States
from budget.machine.watched import WatchedRows
from tests.budget.machine.machines import cards, random_codes, random_store, slow_twin, start_of

LIMIT = 300
MANY = settings(max_examples=max(250, settings().max_examples))
SEEDS = st.integers(0, 1 << 32)
ANGLES = st.sampled_from([None, 0, 5])
TOGETHER, APART = (7, 0), (7, 99)
PARTED = st.sampled_from([TOGETHER, APART])
"""After how many instructions a fleet looks whether its machines do the same, and how many would have to."""


def facts(machine):
    """All that can be seen of a machine of `simulator`."""
    return {
        "store": machine.store,
        "registers": (machine.a, machine.m, machine.carry, machine.place, tuple(machine.links)),
        "counts": (machine.instructions, machine.clock.cycles, machine.characters_in),
        "passed": machine.passed,
        "touched": (machine.touched, machine.written),
        "end": (machine.status, machine.fault),
    }


def slow_facts(slow, end, read):
    """The same of the slow one."""
    return {
        "store": [int(word, 2) for word in slow.store],
        "registers": (int(slow.a, 2), slow.m, slow.carry, slow.p, tuple(slow.links)),
        "counts": (slow.count, slow.cycles, read),
        "passed": slow.printed,
        "touched": (slow.touched, slow.written),
        "end": end,
    }


def fleet_facts(fleet, machine, sent):
    """The same of one machine of a fleet, but for what all have touched together."""
    states = fleet.states
    registers = (states.a, states.m, states.carry, states.place)
    return {
        "store": states.rows.of(machine),
        "registers": (*(int(each[machine]) for each in registers), states.links(machine)),
        "counts": tuple(
            int(each[machine]) for each in (states.instructions, states.cycles, states.characters_in)
        ),
        "passed": sent,
        "end": (fleet.statuses()[machine], states.fault(machine)),
    }


@MANY
@given(cards(), SEEDS, ANGLES)
def test_one_machine_does_what_the_slow_one_does(card, seed, angle):
    store = random_store(card, seed)
    [codes] = random_codes(card, seed, 1)
    slow = slow_twin(card, store, start_of(card, seed), angle)
    machine = Machine(card, store, start_of(card, seed), angle=angle)
    end = ("", "")
    given = 0
    for part in (codes, [*codes, 3]):  # the second part is read by whoever waits for it
        if end[0] not in ("halted", "fault"):
            slow.keyboard.extend(part)
            given += len(part)
            end = slow.run(LIMIT)
        machine.feed(part)
        assert machine.run(LIMIT) == end[0]
    assert facts(machine) == slow_facts(slow, end, given - len(slow.keyboard))


@settings(max_examples=100)
@given(cards(), SEEDS, ANGLES)
def test_one_that_hurries_does_what_it_would_do_without_haste(card, seed, angle):
    """It is stopped and goes on."""
    store, start = random_store(card, seed), start_of(card, seed)
    [codes] = random_codes(card, seed, 1)
    machine, hurried = Machine(card, store, start, angle=angle), Hurried(card, store, start, angle=angle)
    for part in (codes, [*codes, 3]):
        for each in (machine, hurried):
            each.feed(part)
        for limit in (7, LIMIT):
            assert hurried.run(limit) == machine.run(limit)
            assert facts(hurried) == facts(machine)


@contextmanager
def apart(after, together):
    """Machines go on one after the other, from so many instructions on, where fewer than so many obey together."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(fleet_module, "LONG", after)
        patch.setattr(fleet_module, "TOGETHER", together)
        yield


@MANY
@given(
    cards(), SEEDS, ANGLES, st.integers(1, 12), st.lists(st.integers(0, 99), min_size=1, max_size=9), PARTED
)
def test_a_fleet_does_what_each_of_its_machines_does_alone(card, seed, angle, count, chosen, parted):
    with apart(*parted):
        check_a_fleet(card, seed, angle, count, chosen)


@settings(max_examples=100)
@given(cards(), SEEDS, st.integers(1, 12))
def test_what_is_read_before_it_is_written_is_noticed_in_a_machine_by_itself(card, seed, count):
    store, codes = random_store(card, seed), random_codes(card, seed, count)
    noticed = []
    for parted in (TOGETHER, APART):
        rows = WatchedRows.watching(store, card.word_bits, len(codes), np.ones(len(store), dtype=np.bool_))
        fleet = Fleet(States(card, rows, start_of(card, seed), None))
        with apart(*parted):
            fleet.run(codes, LIMIT)
            fleet = fleet.chosen(range(len(codes)))
            fleet.run(codes[::-1], LIMIT)
        noticed.append(addresses(fleet.states.rows.leftover))
    assert noticed[0] == noticed[1]


def check_a_fleet(card, seed, angle, count, chosen):
    store = random_store(card, seed)
    codes = random_codes(card, seed, count)
    fleet = Fleet.started(card, store, start_of(card, seed), len(codes), angle=angle)
    alone = [Machine(card, store, start_of(card, seed), angle=angle) for _ in codes]
    compare(fleet, alone, codes)
    compare(fleet, alone, codes[::-1])
    chosen = [number % len(codes) for number in chosen]
    fleet, alone = fleet.chosen(chosen), [deepcopy(alone[number]) for number in chosen]
    for machine in alone:
        machine.touched.clear()
        machine.written.clear()
    compare(fleet, alone, [codes[number][::-1] for number in chosen])


def compare(fleet, alone, codes):
    """Let a fleet and as many single machines read the same; all that can be seen must be the same."""
    fleet.run(codes, LIMIT)
    for number, (machine, part) in enumerate(zip(alone, codes, strict=True)):
        machine.forget()
        machine.passed.clear()
        machine.feed(part)
        machine.run(LIMIT)
        expected = facts(machine)
        del expected["touched"]
        assert fleet_facts(fleet, number, fleet.sent[number]) == expected
    assert addresses(fleet.states.touched) == set().union(*(machine.touched for machine in alone))
    assert addresses(fleet.states.written) == set().union(*(machine.written for machine in alone))


def addresses(flags):
    return set(flags.nonzero()[0].tolist())
