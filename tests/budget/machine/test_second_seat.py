"""The program written by hand: noughts and crosses from the second seat, in as few words as we could.

It is the baseline for what is generated.  Every key is pressed in every state that the machine can get into, so
what holds here holds for ever, also for the second game.
"""

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from budget.card import load_machine
from budget.machine.assembler import assemble_file
from budget.machine.channel import keyed, printed
from budget.machine.fleet import Fleet
from budget.machine.program import INSTRUCTION, SPACE
from budget.machine.simulator import WAITING, Machine

CARD = load_machine("twelve-bit")
PROGRAM = assemble_file(Path(__file__).parent / "second_seat.orders", CARD)
LINES = ("123", "456", "789", "147", "258", "369", "159", "357")
KEYS = range(64)
BY_HAND_ELSEWHERE = 177
"""Words of a program for a real 12-bit one-address order code, written by hand, that does the same."""
NEW_GAME = ("", "")


@cache
def judged(game, key, sent):
    """The game after a key, (visitor's cells, machine's); fails if the machine has said what it must not.

    Told from the rules of noughts and crosses alone.
    """
    visitor, machine = game
    sign, said = printed(CARD, [key]), printed(CARD, sent)
    free = set("123456789") - set(visitor + machine)
    if sign not in free:
        assert said == "?"
        return game
    visitor += sign
    assert not has_line(visitor), f"the visitor has won: {visitor} against {machine}"
    if free == {sign}:
        assert said == "D"
        return NEW_GAME
    move, letter = said[0], said[1:]
    assert move in free - {sign}
    machine += move
    assert letter == ("W" if has_line(machine) else "")
    return NEW_GAME if letter else (visitor, machine)


def has_line(cells):
    return any(set(line) <= set(cells) for line in LINES)


def test_every_key_in_every_state():
    fleet = Fleet.loaded(PROGRAM, 1, fill=0o7777)
    fleet.run()
    games, seen = [NEW_GAME], set()
    while len(fleet):
        states = [row.tobytes() for row in fleet.states.codes()]
        new = [number for number, state in enumerate(states) if state not in seen and not seen.add(state)]
        fleet = fleet.chosen(np.repeat(new, len(KEYS)))
        fleet.run(np.tile(KEYS, len(new))[:, None])
        assert set(fleet.statuses()) <= {WAITING}
        pressed = [(games[number], key) for number in new for key in KEYS]
        games = [judged(*each, tuple(sent)) for each, sent in zip(pressed, fleet.sent, strict=True)]
    assert len(seen) > 100


@pytest.mark.parametrize("fill", [0, 1, 0o1234, 0o7777])
def test_a_game_whatever_stood_in_the_store(fill):
    machine = Machine.loaded(PROGRAM, fill=fill)
    machine.feed(keyed(CARD, "1x1924"))
    assert machine.run() == WAITING
    assert printed(CARD, machine.passed) == "5??837W"


def test_its_words():
    assert PROGRAM.words(INSTRUCTION) == 75
    assert PROGRAM.words(SPACE) == 16
    assert PROGRAM.words() == 104 < BY_HAND_ELSEWHERE
