"""The program written by hand: noughts and crosses from the second seat, in as few words as we could.

It is the baseline for what is generated.  Every key is pressed in every state that the machine can get into, so
what holds here holds for ever, also for the second game.
"""

from pathlib import Path

import pytest

from budget.card import load_machine
from budget.machine.assembler import assemble_file
from budget.machine.channel import keyed, printed
from budget.machine.program import INSTRUCTION, SPACE
from budget.machine.simulator import WAITING, Machine
from tests.budget.second_seat import every_key

CARD = load_machine("twelve-bit")
PROGRAM = assemble_file(Path(__file__).parent / "second_seat.orders", CARD)
BY_HAND_ELSEWHERE = 177
"""Words of a program for a real 12-bit one-address order code, written by hand, that does the same."""


def test_every_key_in_every_state():
    assert every_key(PROGRAM) > 100


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
