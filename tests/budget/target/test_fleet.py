"""Machines of an order sheet side by side do what one of them does alone: results, counts, and what is noticed."""

from random import Random

import numpy as np
import pytest

from budget.card import load_machine
from budget.closing import Differs, close
from budget.conversation import Conversation
from budget.herds import loaded
from budget.machine.rows import Rows
from budget.machine.states import STATUSES
from budget.machine.watched import WatchedRows
from budget.programs import program_for
from budget.target.fleet import TargetFleet
from budget.target.known import Known
from budget.target.lockstep import Lockstep
from budget.target.machine import TargetMachine
from budget.target.obeying import Obeying
from tests.budget.target.odd_sheet import CODE_AT, EFFECTS, odd_card
from tests.budget.target.one_by_one import OneByOne, WatchedStore
from tests.budget.test_closing import TAKE_ONE, play

MACHINES = 16
LIMIT = 150
TWELVE = load_machine("twelve-bit-orders")
MISTAKES = [
    ("two:    set '1'", "two:    set '2'"),
    ("        jump start\none", "        halt\none"),
    ("set '?'", "set 'W'"),
    ("one:    set '2'", "one:    jump one"),
]


def operate_words(random, count):
    """Orders of the real sheet: half of them work on words near the beginning of a page, which may be orders too."""
    talk = [0o6031, 0o6032, 0o6034, 0o6036, 0o6041, 0o6042, 0o6044, 0o6046]
    found = []
    for _ in range(count):
        kind = random.random()
        if kind < 0.5:
            address = random.randrange(8, 48)
            page = random.random() < 0.5
            found.append(random.randrange(6) << 9 | (random.random() < 0.2) << 8 | page << 7 | address)
        elif kind < 0.65:
            found.append(random.choice(talk))
        elif kind < 0.97:
            found.append(0o7000 | random.randrange(512) & ~1 | (random.random() < 0.1))
        else:
            found.append(random.randrange(4096))
    return found


def odd_words(random, count):
    return [
        random.randrange(1, len(EFFECTS) + 1) << CODE_AT
        | random.choice([0, 1, 2, 3, 5]) << 9
        | (random.random() < 0.2) << 8
        | (random.randrange(40) if random.random() < 0.97 else random.randrange(256))
        for _ in range(count)
    ]


KINDS = [
    pytest.param(TWELVE, operate_words, 128, id="real"),
    pytest.param(TWELVE._replace(store_words=60), operate_words, 0, id="few-words"),
    pytest.param(odd_card(), odd_words, 0, id="odd"),
]


def lively_store(card, words, first, random):
    """A store with random orders from an address on, with which a machine does not stop at once."""
    while True:
        store = [*[0] * first, *words(random, 48), *[0] * (card.store_words - first - 48)]
        machine = TargetMachine(card, list(store), first + 16)
        machine.feed([177, 1])
        machine.run(LIMIT)
        if machine.instructions >= 20:
            return store


def started(card, words, first, seed):
    """A store of random orders, with some words watched: side by side, and one by one."""
    random = Random(seed)
    store = lively_store(card, words, first, random)
    watched = np.array([random.random() < 0.3 for _ in range(card.store_words)])
    fleet = TargetFleet.started(card, store, first + 16, MACHINES, watched=watched)
    machine = TargetMachine(card, WatchedStore(store), first + 16)
    return fleet, OneByOne(machine, [machine.snapshot()] * MACHINES, watched), random


def keys(random):
    return [[random.choice([0, 1, 177, 255]) for _ in range(random.randrange(5))] for _ in range(MACHINES)]


def hold_alike(fleet, herd):
    """Everything that can be seen of the machines."""
    states = fleet.states
    assert fleet.sent == herd.sent
    for number, snapshot in enumerate(herd.snapshots):
        assert (STATUSES[states.status[number]], states.fault(number)) == herd.stands(number)
        assert states.place[number] == snapshot.place
        *registers, key = states.registers[:, number].tolist()
        assert tuple(registers) == snapshot.registers
        channels = tuple(states.channels[:, number].tolist())
        assert (key if channels[0] else 0, *channels) == snapshot.channels
        changed = [
            (address, word)
            for address, (word, loaded) in enumerate(
                zip(states.rows.of(number), states.loaded.tolist(), strict=True)
            )
            if word != loaded
        ]
        assert tuple(changed) == snapshot.store
    assert set(np.flatnonzero(states.touched).tolist()) == herd.machine.touched
    assert np.array_equal(states.written, herd.written())
    assert np.array_equal(states.rows.leftover, herd.leftover)


def run_both(fleet, herd, random, limit=LIMIT):
    """The same run of both; the fleet must count what the machines have counted."""
    typed = keys(random)
    before = np.column_stack([fleet.states.instructions, fleet.states.cycles])
    fleet.run(typed, limit)
    herd.run(typed, limit)
    after = np.column_stack([fleet.states.instructions, fleet.states.cycles])
    assert (after - before).tolist() == herd.took.tolist()


def hold_one(card, words, first, seed):
    """Three runs of machines with one store, each of some machines as the run before has left them."""
    fleet, herd, random = started(card, words, first, seed)
    for _ in range(3):
        run_both(fleet, herd, random, random.choice([LIMIT, 7]))
        hold_alike(fleet, herd)
        flags = np.array([random.random() < 0.3 for _ in range(card.store_words)])
        numbers = [random.randrange(MACHINES) for _ in range(MACHINES)]
        fleet, herd = fleet.chosen(np.array(numbers)), herd.chosen(numbers)
        fleet.states.rows.watch(flags)
        herd.watch(flags)


def hold_all(seeds):
    for seed in seeds:
        for kind in KINDS:
            hold_one(*kind.values, seed)


@pytest.mark.parametrize(("card", "words", "first"), KINDS)
@pytest.mark.parametrize("seed", [0, 1, 2, 3, 4])
def test_random_orders_side_by_side_and_one_by_one(card, words, first, seed):
    hold_one(card, words, first, seed)


@pytest.mark.long
def test_more_random_orders_side_by_side_and_one_by_one():
    hold_all(range(100, 125))


@pytest.mark.parametrize(
    ("where", "name", "wrong"),
    [
        (Obeying, "agreed", lambda self, holds: bool(holds.any())),
        (Obeying, "await_printer", lambda self, group: group.channels[1]),
        (Obeying, "_park", lambda self, group, place, cycles, *how: self._states.park(group, *how)),
        (TargetFleet, "_forget", lambda self, address: None),
        (Lockstep, "_is_stepping", lambda self, order: False),
        (Lockstep, "is_plain", lambda self, order: not list(order.effect)[1:]),
        (Known, "_order", lambda self, place, word: self._orders.decode(word, 0)),
        (WatchedRows, "write", Rows.write),
    ],
    ids=["conditions", "printer", "stops", "changed orders", "stepping", "put together", "pages", "watching"],
)
def test_a_mistake_is_found(where, name, wrong, monkeypatch):
    monkeypatch.setattr(where, name, wrong)
    with pytest.raises((AssertionError, IndexError)):
        hold_all(range(20))


@pytest.mark.parametrize(("right", "wrong"), [("", ""), *MISTAKES])
def test_closing_side_by_side_and_one_by_one(right, wrong, monkeypatch):
    """A program is closed with the same figures, or differs at the same input."""
    monkeypatch.setattr("budget.closing.LONGEST_REPLY", 10_000)
    found = []
    for load in (loaded, OneByOne.loaded):
        monkeypatch.setattr("budget.closing.loaded", load)
        try:
            found.append(
                close(program_for(TAKE_ONE.replace(right, wrong), TWELVE), Conversation(play(), TWELVE))
            )
        except Differs as difference:
            found.append(str(difference))
    assert found[0] == found[1]
    assert isinstance(found[0], str) == bool(right)
