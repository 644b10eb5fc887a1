"""The smallest programs of noughts and crosses from the second seat: how many words, and right in every state.

By hand a program for a real 12-bit one-address order code takes 177 words and at worst 340 instructions a reply; in
our own orders one takes 104 (tests/budget/machine/second_seat.orders).
"""

import pytest

from budget.card import load_machine
from budget.closing import close
from budget.conversation import Conversation
from budget.lowering.answering.sheet import by_rules
from budget.lowering.lower import lower
from tests.budget.lowering.test_rules import play_of

WINS_FIRST = """take the heaviest cell
  -2 for a straight line with no marks
  -1 for a straight line with 1 of mine
  -1 for a straight line with 1 of the visitor's
  16 for a straight line with 2 of mine
  -2 for a straight line with 1 of mine and 1 of the visitor's
  2 for a straight line with 2 of the visitor's
  1 for a diagonal line with no marks
  -1 for a diagonal line with 1 of mine
  2 for a diagonal line with 1 of the visitor's
  16 for a diagonal line with 2 of mine
  2 for a diagonal line with 2 of the visitor's"""
BY_HAND_ELSEWHERE = 177


@pytest.mark.parametrize(
    ("machine", "words", "instructions"),
    [
        ("twelve-bit", 119, 2439),
        pytest.param("twelve-bit-orders", 163, 3967, marks=pytest.mark.long),
    ],
)
def test_the_words_of_the_weights_that_win_first(machine, words, instructions):
    play, card = play_of(WINS_FIRST, 1), load_machine(machine)
    lowered = lower(play, card, by_rules)
    assert lowered.words.total == words < BY_HAND_ELSEWHERE
    assert close(lowered.program, Conversation(play, card)).worst.instructions == instructions
