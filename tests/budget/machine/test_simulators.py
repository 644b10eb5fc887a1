"""The simulators against the slow machine, on programs made at random."""

from copy import deepcopy

from hypothesis import given, settings
from hypothesis import strategies as st

from budget.machine.fleet import Fleet
from budget.machine.hurried import Hurried
from budget.machine.simulator import Machine
from tests.budget.machine.machines import cards, random_codes, random_store, slow_twin, start_of

LIMIT = 300
MANY = settings(max_examples=max(250, settings().max_examples))
SEEDS = st.integers(0, 1 << 32)
ANGLES = st.sampled_from([None, 0, 5])


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
    """It is stopped and goes on, and what it has touched is not looked at."""
    store, start = random_store(card, seed), start_of(card, seed)
    [codes] = random_codes(card, seed, 1)
    machine, hurried = Machine(card, store, start, angle=angle), Hurried(card, store, start, angle=angle)
    for part in (codes, [*codes, 3]):
        for each in (machine, hurried):
            each.feed(part)
        for limit in (7, LIMIT):
            assert hurried.run(limit) == machine.run(limit)
            here, there = (facts(each) for each in (hurried, machine))
            assert {**here, "touched": None} == {**there, "touched": None}


@MANY
@given(cards(), SEEDS, ANGLES, st.integers(1, 12), st.lists(st.integers(0, 99), min_size=1, max_size=9))
def test_a_fleet_does_what_each_of_its_machines_does_alone(card, seed, angle, count, chosen):
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
