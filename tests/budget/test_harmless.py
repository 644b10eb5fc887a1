"""Words declared harmless: a count of games is taken out of the states, and one that is none is found."""

import pytest

from budget.card import load_machine
from budget.closing import Differs, Unfinished, close
from budget.conversation import Conversation
from budget.harmless import contents_of, harmless
from budget.machine.assembler import assemble
from tests.budget.test_closing import TAKE_ONE, play

COUNTING = (
    TAKE_ONE.replace("start:  input", "start:  set 0\n        store games\nagain:  input").replace(
        "        set 'W'\n        output\n        jump start",
        "        set 'W'\n        output\n        count games\n{then}        jump again",
    )
    + "games:  space 1\n"
)
STOPS_AFTER = "        plus -{}\n        ifnonzero again\n        halt\n"
COPIES = "        load games\n        store copy\n"


def closed(then, *, declared=True):
    text = COUNTING.format(then=then).replace("jump start", "jump again")
    card = load_machine("twelve-bit")
    if "copy" in text:
        text += "copy:   word 0\n"
    program = assemble(text, card)
    words = [program.labels["games"]] if declared else []
    return close(program, Conversation(play(), card), harmless=harmless(words, card))


def test_a_count_of_games_makes_no_states_once_it_is_declared(monkeypatch):
    found = closed("")
    assert found.states <= 4  # the carry may be set or not, and M
    monkeypatch.setattr("budget.closing.MOST_STATES", 100)
    with pytest.raises(Unfinished):
        closed("", declared=False)


def test_every_input_is_fed_with_every_content():
    card = load_machine("twelve-bit")
    found = closed("")
    assert found.inputs == found.states * 64 * (1 + len(contents_of([7], card)))


@pytest.mark.parametrize("games", [0, 2, 3, 5])
def test_a_count_that_ends_the_play_is_not_harmless(games):
    with pytest.raises(Differs, match=r"with other contents of what should be harmless, .*halted"):
        closed(STOPS_AFTER.format(games))


def test_what_shows_with_none_of_the_contents_is_not_found():
    assert closed(STOPS_AFTER.format(100)).states  # as docs/faults.md says


def test_a_count_that_goes_on_into_another_word_is_not_harmless():
    with pytest.raises(Differs, match="what should be harmless makes a difference to word"):
        closed(COPIES)


def test_the_contents_are_the_same_every_time_and_fit_the_word():
    card = load_machine("twelve-bit")
    tried = contents_of([3, 9], card)
    assert tried == contents_of([3, 9], card)
    assert all(0 <= word < 4096 for each in tried for word in each.values())
    assert {each[3] for each in tried} >= {0, 1, 2047, 2048, 4095}
