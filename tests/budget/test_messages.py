"""Messages in words: packed, read back, stored once, and refused where a machine cannot say them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.card import load_machine, machine_names, parse_machine
from budget.messages import message_words, pack_message, read_message, words_of_messages
from games.house import load_house_rules, parse_house_rules
from games.load import load_game
from games.problems import BadInput
from tests.budget.test_characters import sayable

GAME = load_game("noughts-and-crosses")
NARROW = parse_machine(
    'kind = "machine"\nfrom = "common practice"\nword-bits = 4\nstore-words = 99\n[characters]\ncode = "ita2"\n',
    "narrow.toml",
)
MACHINES = [*map(load_machine, machine_names()), NARROW]
WITH_LETTERS = [machine for machine in MACHINES if "Y" in machine.characters.code.characters]
HOUSE = """\
kind = "house-rules"

[[rule]]
when = ["taken-by-machine", "taken-by-visitor"]
say = "I WIN"
say-forgiven = "AGAIN"
cost = "turn"
forgive = 2

[[rule]]
when = ["any"]
say = "AGAIN"

[messages]
ask = ""
"""

messages = st.sampled_from(MACHINES).flatmap(
    lambda card: st.tuples(st.just(card), sayable(card.characters.code))
)


@given(messages)
def test_message_is_read_back(case):
    card, text = case
    words = pack_message(card, text)
    assert read_message(card, words) == card.characters.code.printed(text)
    assert all(0 <= word < 1 << card.word_bits for word in words)
    assert len(words) == message_words(card, text)


@given(messages)
def test_message_takes_as_many_words_as_its_characters_and_one_end_mark_fill(case):
    card, text = case
    characters = len(card.characters.code.encode(text)) + 1
    per_word, each = card.characters.per_word, card.characters.words_each
    assert message_words(card, text) == (characters * each if each > 1 else (characters - 1) // per_word + 1)


def test_known_messages():
    delay_line = load_machine("delay-line")
    # O is 24, K is 15, the end mark 0: from the low end, five bits each
    assert pack_message(delay_line, "OK") == (24 + (15 << 5) + (0 << 10),)
    # O K space, then end mark
    assert pack_message(delay_line, "OK ") == (24 + (15 << 5) + (4 << 10), 0)
    assert pack_message(NARROW, "O") == (24 % 16, 24 // 16, 0, 0)


def words_by_hand(card, *texts):
    return sum(message_words(card, text) for text in texts)


def test_the_same_text_is_stored_once_and_no_text_takes_nothing():
    house = parse_house_rules(HOUSE, "ours.toml", GAME)
    card = load_machine("delay-line")
    everything = words_by_hand(card, "I PLAY", "I WIN", "YOU WIN", "A DRAW", "AGAIN")
    assert words_of_messages(house, card) == everything


def test_a_text_is_left_out_only_with_all_messages_that_say_it():
    house = parse_house_rules(HOUSE, "ours.toml", GAME)
    card = load_machine("delay-line")
    everything = words_of_messages(house, card)

    def saved(*names):
        return everything - words_of_messages(house, card, names)

    assert (
        saved() == saved("ask") == saved("rule 1") == saved("machine-wins") == saved("rule 1 forgiven") == 0
    )
    assert saved("visitor-wins") == words_by_hand(card, "YOU WIN") > 0
    assert saved("rule 1", "machine-wins") == words_by_hand(card, "I WIN")
    assert saved("rule 1 forgiven", "rule 2", "draw") == words_by_hand(card, "AGAIN", "A DRAW")
    assert saved(*house.all_messages()) == everything


@pytest.mark.parametrize("machine", WITH_LETTERS, ids=lambda machine: machine.name)
@pytest.mark.parametrize("house", ["usual", "lost-turn", "three-warnings"])
def test_the_house_rules_that_come_with_wordtight_can_be_said_everywhere(machine, house):
    rules = load_house_rules(house, GAME)
    texts = set(rules.all_messages().values())
    assert words_of_messages(rules, machine) == words_by_hand(machine, *texts)


def test_every_message_that_cannot_be_said_is_told():
    text = HOUSE.replace('"I WIN"', '"I WIN!"') + 'draw = "A DRAW; WELL DONE!"\n'
    house = parse_house_rules(text, "ours.toml", GAME)
    with pytest.raises(BadInput) as caught:
        words_of_messages(house, load_machine("delay-line"))
    told = [str(problem) for problem in caught.value.problems]
    assert len(told) == 3
    assert "house rules 'ours', message 'draw'" in told[0]
    assert "has no ';'; say ',' instead" in told[0]
    assert "message 'draw'" in told[1]
    assert "has no '!'; say '.' instead" in told[1]
    assert "message 'rule 1'" in told[2]
    assert words_of_messages(house, load_machine("home-1k")) > 0
    assert words_of_messages(house, load_machine("delay-line"), ["draw", "rule 1"]) > 0


def test_message_that_does_not_read_back_is_a_fault_of_ours(monkeypatch):
    monkeypatch.setattr("budget.messages.read_message", lambda card, words: "SOMETHING ELSE")
    with pytest.raises(RuntimeError, match="does not read back in ita2"):
        words_of_messages(load_house_rules("usual", GAME), load_machine("delay-line"))
