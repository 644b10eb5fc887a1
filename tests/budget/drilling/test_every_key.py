"""Noughts and crosses on the twelve-bit machine, both seats: every key of eight bits in every state.

The same program runs in our own orders, and in the orders of the real machine.
"""

from pathlib import Path

import pytest

import budget
from budget.card import load_machine, parse_machine
from budget.closing import close
from budget.conversation import Conversation
from budget.lowering.answering.sheet import by_rules
from budget.lowering.lower import lower
from budget.machine.channel import printed
from budget.target.program import expand
from games.house import parse_house_rules
from games.load import load_game
from solver.fixed import PLAIN, fix
from solver.proof import prove
from solver.sheet.reader import SheetReader
from solver.strategy import Strategy
from tests.budget.drilling.small import TERSE, terse
from tests.budget.target.outside import Pdp8, needs_pdp8
from tests.budget.target.test_every_line import lines_from

ORDERS = load_machine("twelve-bit-orders")
RULES = {
    0: ["complete a line", "block a line", "take the centre", "take a corner", "take any free cell"],
    1: [
        "complete a line",
        "block a line",
        "stop a double threat",
        "take the centre",
        "take a corner",
        "take any free cell",
    ],
}


def own_card():
    """The card of our own orders, with the keyboard of the other one: a key is one of 256."""
    text = (Path(budget.__file__).parent / "machines" / "twelve-bit.toml").read_text(encoding="utf-8")
    six_bits, eight_bits = 'code = "six-bit"\nper-word = 2\n', 'code = "marked-eight-bit"\nper-word = 1\n'
    assert six_bits in text
    return parse_machine(text.replace(six_bits, eight_bits), "own")


@pytest.mark.long
@pytest.mark.parametrize("seat", [0, 1], ids=["first", "second"])
def test_every_key_in_every_state(seat):
    game = load_game("noughts-and-crosses")
    house = parse_house_rules(TERSE, "terse.toml", game)
    rules = SheetReader("", RULES[seat], game).read(0)
    play = fix(prove(Strategy("s", "", game, seat, rules), "never-loses", house), PLAIN)
    assert play.proof.verdict == "proved"
    lowered = lower(play, own_card(), by_rules)
    for program in (lowered.program, expand(lowered.text, ORDERS)):
        closed = close(program, Conversation(play, program.card))
        assert closed.inputs == 256 * closed.states
        assert closed.states >= len(play.codes)


@needs_pdp8
@pytest.mark.long
def test_every_line_of_the_first_seat_on_the_simulator_of_others(tmp_path):
    """With a wrong key in every state; the second seat is played so in tests/budget/target/test_every_line.py."""
    game = load_game("noughts-and-crosses")
    house = parse_house_rules(terse("at-once"), "terse.toml", game)
    rules = SheetReader("", RULES[0], game).read(0)
    play = fix(prove(Strategy("s", "", game, 0, rules), "never-loses", house), PLAIN)
    program, talk = expand(lower(play, ORDERS, by_rules).text, ORDERS), Conversation(play, ORDERS)
    start, begins = talk.begin()
    lines = list(lines_from(talk, start, start))
    assert len(lines) == len({*lines}) > 80
    with Pdp8(tmp_path, program.start, program.image) as outside:
        outside.wait_for(printed(ORDERS, begins))
        for line in lines:
            state = start
            for key in line:
                state, said = talk.enter(state, (key,))
                assert outside.answer(key & 0o177, len(said)) == printed(ORDERS, said)
            assert state == start
        assert not outside.silence()
