"""The simulators against the slow machine, on programs made at random."""

from hypothesis import given
from hypothesis import strategies as st

from budget.machine.fleet import Fleet
from budget.machine.simulator import Machine
from tests.budget.machine.machines import cards, random_store, slow_twin

LIMIT = 300
ANGLES = st.sampled_from([None, 0, 5])


def starts(card):
    """Where a program may begin."""
    layout = card.program.layout
    return card.first_fixed * layout.places_a_word if card.fixed_words else 0


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


@given(cards(), st.integers(0, 1 << 32), st.lists(st.integers(0, 15), max_size=6), ANGLES)
def test_one_machine_does_what_the_slow_one_does(card, seed, codes, angle):
    store = random_store(card, seed)
    slow = slow_twin(card, store, starts(card), angle)
    machine = Machine(card, store, starts(card), angle=angle)
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


@given(
    cards(),
    st.integers(0, 1 << 32),
    st.lists(st.lists(st.integers(0, 15), max_size=6), min_size=1, max_size=9),
    ANGLES,
)
def test_a_fleet_does_what_each_of_its_machines_does_alone(card, seed, codes, angle):
    store = random_store(card, seed)
    fleet = Fleet.started(card, store, starts(card), len(codes), angle=angle)
    alone = [Machine(card, store, starts(card), angle=angle) for _ in codes]
    sent = [[] for _ in codes]
    for _ in range(3):
        fleet.run(codes, LIMIT)
        for machine, part in zip(alone, codes, strict=True):
            machine.forget()
            machine.feed(part)
            machine.run(LIMIT)
        sent = [[*before, *more] for before, more in zip(sent, fleet.sent, strict=True)]
        for number, machine in enumerate(alone):
            expected = facts(machine)
            del expected["touched"]
            assert fleet_facts(fleet, number, sent[number]) == expected
        touched = set(fleet.states.touched.nonzero()[0].tolist())
        written = set(fleet.states.written.nonzero()[0].tolist())
        assert touched == set().union(*(machine.touched for machine in alone))
        assert written == set().union(*(machine.written for machine in alone))
