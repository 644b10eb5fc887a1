"""Holding a program against what it should say: what holds is proved for ever, and every kind of fault is found."""

from functools import cache

import numpy as np
import pytest

from budget.card import load_machine
from budget.closing import Differs, Unfinished, close
from budget.conversation import Conversation
from budget.machine.assembler import assemble
from budget.machine.rows import Rows
from budget.machine.watched import WatchedRows
from games.house import parse_house_rules
from games.load import parse_game
from solver.fixed import PLAIN, fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy

HOUSE = """\
kind = "house-rules"
input = "key"
print = "close"
next-game = "at-once"

[messages]
ask = ""
machine-moves = ""
machine-wins = "W"
visitor-wins = "L"
draw = "D"

[[rule]]
when = ["any"]
say = "?"
"""
TAKE_ONE = """\
# One heap of three counters; who takes the last one wins; the visitor takes 1 or 2 and the machine the rest of 3.
start:  input
        plus -'1'
        ifzero one
        plus -1
        ifzero two
        set '?'
        output
        jump start
one:    set '2'
        jump moved
two:    set '1'
moved:  output
        set 'W'
        output
        jump start
"""


@cache
def play():
    game = game_of_three()
    house = parse_house_rules(HOUSE, "close.toml", game)
    rules = SheetReader("", ["look ahead 3 plies"], game).read(0)
    return fix(prove(Strategy("s", "", game, 1, rules), "never-loses", house), PLAIN)


@cache
def game_of_three():
    text = 'kind = "game"\nfamily = "take"\nplay = "heaps"\nheaps = [3]\ntake = [1, 2]\n'
    return parse_game(text, "three.toml")


def closed(text, machine="twelve-bit"):
    card = load_machine(machine)
    return close(assemble(text, card), Conversation(play(), card))


def test_a_program_that_says_what_it_should_is_closed():
    found = closed(TAKE_ONE)
    assert found.states == 2  # the carry may be set or not
    assert found.inputs == 2 * 64
    assert found.replies == 2 * 2
    assert found.worst.instructions == 10
    assert found.carried == ()


@pytest.mark.parametrize(
    ("right", "wrong", "said"),
    [
        ("two:    set '1'", "two:    set '2'", "prints '2W' instead of '1W'"),
        ("        jump start\none", "        halt\none", "halted"),
        ("set '?'", "set 'W'", "instead of '\\?'"),
        ("one:    set '2'", "one:    jump one", "instead of '2W'"),
        ("moved:  output", "moved:  back", "no link"),
        ("start:  input", "start:  set '?'\n        output\nagain:  input", "at the start"),
    ],
)
def test_a_fault_is_found(right, wrong, said, monkeypatch):
    monkeypatch.setattr("budget.closing.LONGEST_REPLY", 10_000)
    assert right in TAKE_ONE
    with pytest.raises(Differs, match=said):
        closed(TAKE_ONE.replace(right, wrong))


def test_a_fault_in_the_third_game_is_found():
    counting = TAKE_ONE.replace("start:  input", "start:  set 0\n        store games\nagain:  input").replace(
        "        set 'W'\n        output\n        jump start",
        "        set 'W'\n        output\n        count games\n        plus -3\n        ifnonzero again\n        halt",
    )
    with pytest.raises(Differs, match="halted"):
        closed(counting + "games:  space 1\n")


def test_what_stood_in_the_store_before_must_not_matter():
    text = TAKE_ONE.replace("start:  input", "start:  load noise\n        ifzero start2\nstart2: input")
    with pytest.raises(Differs, match="before the start may matter"):
        closed(text + "noise:  space 1\n")


def test_a_word_that_is_written_before_it_is_read_makes_no_states():
    text = TAKE_ONE.replace(
        "        output\n        jump start\none",
        "        output\n        count junk\n        jump start\none",
    )
    text = text.replace("start:  input", "        set 0\n        store junk\nstart:  input")
    with pytest.raises((Unfinished, Differs)):
        closed(text + "junk:   space 1\n")  # counted on and on: 4096 states, and it is read by `count`
    written = TAKE_ONE.replace("start:  input\n", "start:  input\n        store junk\n        load junk\n")
    assert closed(written + "junk:   space 1\n").states == 2


def test_watched_rows_hold_what_rows_hold_and_notice_what_is_left():
    rng = np.random.default_rng(5)
    watched = np.zeros(20, dtype=bool)
    watched[10:] = True
    plain, seen = Rows.loaded(range(20), 12, 6), WatchedRows.watching(range(20), 12, 6, watched)
    fresh = {(address, machine) for address in range(10, 20) for machine in range(6)}
    due = set()
    for address in range(20):
        plain.make_row(address)
        seen.make_row(address)
    for _ in range(300):
        machines = np.flatnonzero(rng.random(6) < 0.5)
        if not len(machines):
            continue
        if rng.random() < 0.5:
            address = int(rng.integers(20))
            each = [address] * len(machines)
        else:
            each = rng.integers(20, size=len(machines)).tolist()
            address = None
        if rng.random() < 0.02:
            value = int(rng.integers(4096))
            for rows in (plain, seen):
                if address is None:
                    rows.write_each(np.array(each), machines, value)
                else:
                    rows.write(address, machines, value)
            fresh -= set(zip(each, machines.tolist(), strict=True))
        elif rng.random() < 0.05:
            found = [
                rows.read_each(np.array(each), machines) if address is None else rows.read(address, machines)
                for rows in (plain, seen)
            ]
            assert np.array_equal(*found)
            due |= {a for a, machine in zip(each, machines.tolist(), strict=True) if (a, machine) in fresh}
    assert set(np.flatnonzero(seen.leftover).tolist()) == due
    assert due
