"""Time: fixed, by order, and where the store turns."""

from fractions import Fraction

import pytest

from budget.card import load_machine
from budget.machine.assembler import assemble
from budget.machine.simulator import HALTED, LIMIT, WAITING, Machine

DRUM = load_machine("drum-desk")
TEXT = """\
        load x
        add x
        count x
        halt
        at 100
x:      word 3
"""


def run(text, card, codes=(), angle=None):
    machine = Machine.loaded(assemble(text, card), angle=angle)
    machine.feed(codes)
    machine.run(10_000)
    return machine


def test_cycles_by_order_and_seconds():
    machine = run("set 3\noutput\nload =4\ninput\nhalt", load_machine("twelve-bit"), [1])
    assert machine.clock.cycles == 1 + 2 + 2 + 2 + 1
    times = machine.times()
    assert times == (Fraction(8 * 3, 2_000_000), Fraction(1, 10), Fraction(1, 10))


def test_a_card_without_times_tells_none():
    card = load_machine("twelve-bit")
    bare = card._replace(program=card.program._replace(pace=None, reading=None, printing=None))
    assert run("set 3\nhalt", bare).times() == (None, None, None)


def by_hand(place, operands, now, cycles=1):
    """When an instruction is over, in words since the drum was at angle 0: wait for its word, then for its operands."""
    for address in (place, *operands):
        while now % 64 != address * 9 % 64:
            now += 1
        now += 1
    return now + cycles


@pytest.mark.parametrize("angle", range(0, 64, 7))
def test_a_drum_by_hand(angle):
    now = by_hand(0, [100], angle)
    now = by_hand(1, [100], now)
    now = by_hand(2, [100, 100], now)
    now = by_hand(3, [], now)
    assert run(TEXT, DRUM, angle=angle).clock.cycles == now - angle


def test_the_worst_is_the_worst_of_all_angles():
    worst = run(TEXT, DRUM).clock.cycles
    assert worst == max(run(TEXT, DRUM, angle=angle).clock.cycles for angle in range(64))


def test_after_a_character_the_store_may_stand_anywhere():
    """Nobody knows when the visitor presses the key: the next instruction may just have gone by."""
    before = run("input\nhalt", DRUM).clock.cycles
    after = run("input\nhalt", DRUM, [1]).clock.cycles
    assert before == 0
    assert after == (63 + 1 + 1) + (63 + 1 + 1)


def test_how_a_machine_stands():
    assert run("input", DRUM).status == WAITING
    assert run("on: jump on", DRUM).status == LIMIT
    machine = run("halt\nhalt", DRUM)
    assert machine.status == HALTED
    assert machine.step() is None
    assert machine.instructions == 1
