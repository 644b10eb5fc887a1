"""The size of a strategy on a machine: every figure by hand, and what makes it fit or not."""

import json

import numpy as np
import pytest

from budget import encodings as encodings_module
from budget.card import load_machine, machine_names, parse_machine
from budget.messages import words_of_messages
from budget.packed import NO_MOVE
from budget.size import size_play, workspace_words
from games.codes import FIRST, SECOND
from games.house import load_house_rules, parse_house_rules
from games.housed import HousedGame
from games.limited import limited
from games.load import load_game
from games.problems import BadInput
from solver.fixed import PLAIN, TURNED
from tests.budget.plays import any_move, housed, never_losing, play_of

ROW_KEYS = {"encoding", "table_words", "message_words", "workspace_words", "total_words", "fits"}
TOP_KEYS = {"fits", "machine", "word_bits", "store_words", "encodings"}


@pytest.fixture(scope="module")
def plays():
    game = housed()
    choose = never_losing(game)
    return [play_of(game, reading, choose) for reading in (PLAIN, TURNED)]


def with_store(card, words):
    return card._replace(store_words=words)


def with_tables(size):
    """The rows of encodings that hold these plays; score weights, which few plays have, do not."""
    without = {row.encoding for row in size.encodings if row.reason is not None}
    assert without <= {"weights"}
    return [row for row in size.encodings if row.reason is None]


def test_rows_stand_for_every_encoding_in_every_reading(plays):
    card = with_store(load_machine("twelve-bit"), 1000)
    size = size_play(plays, plays[0].game.house, card, ["visitor-wins"])
    assert [(row.encoding, row.reading) for row in size.encodings] == [
        (name, reading) for reading in (PLAIN, TURNED) for name in sorted(encodings_module.encodings())
    ]
    for row in with_tables(size):
        assert row.total_words == row.table_words + row.message_words + row.workspace_words
        assert row.margin == 1000 - row.total_words
        assert row.fits == (row.margin >= 0)
        assert row.table_bits <= row.table_words * 12
        assert row.message_words == size.message_words
        assert row.reason is None
    assert size.fits
    assert len({row.fits for row in size.encodings}) == 2, (
        "on this machine some encodings fit and others do not"
    )


def test_answers_are_the_boards_whose_move_is_stored(plays):
    size = size_play(plays, plays[0].game.house, load_machine("twelve-bit"))
    by_reading = {row.reading: row.answers for row in with_tables(size)}
    assert by_reading == {PLAIN: len(plays[0].codes), TURNED: len(set(least(plays[1])))}


def least(play):
    for code in play.codes:
        images = [play.game.fair.turned(s, np.array([code])) for s in range(play.game.symmetries)]
        yield min(int(image[0]) for image in images)


def test_fits_to_the_last_word_and_no_further(plays):
    card = load_machine("delay-line")
    house = plays[0].game.house
    smallest = min(row.total_words for row in with_tables(size_play(plays, house, card)))
    assert size_play(plays, house, with_store(card, smallest)).fits
    short = size_play(plays, house, with_store(card, smallest - 1))
    assert not short.fits
    assert max(row.margin for row in with_tables(short)) == -1


def test_words_saved_by_messages_that_are_never_said(plays):
    house = plays[0].game.house
    for name in set(machine_names()) - {"kit-96"}:  # which has no letters
        card = load_machine(name)
        size = size_play(plays, house, card, ["visitor-wins"])
        assert size.words_saved == len(card_words(card, "YOU WIN")) > 0
        assert size.message_words == words_of_messages(house, card)
        assert size.never_said == ("visitor-wins",)
        assert size_play(plays, house, card).words_saved == 0


def card_words(card, text):
    characters = [*card.characters.code.encode(text), card.characters.code.end]
    return range(0, len(characters), card.characters.per_word)


def test_json_keys(plays):
    size = size_play(plays, plays[0].game.house, load_machine("home-1k"), ["visitor-wins"])
    value = json.loads(json.dumps(size.as_json()))
    assert set(value) >= TOP_KEYS
    assert all(set(row) >= ROW_KEYS for row in value["encodings"])
    assert (value["machine"], value["word_bits"], value["store_words"]) == ("home-1k", 8, 1024)
    assert "program" in value["remark"]
    assert "not in these figures" in value["remark"]


@pytest.mark.parametrize(
    ("house", "word_bits", "words"),
    [
        # nine cells; turn, plies, character, move: a word each
        ("usual", 18, 9 + 4),
        ("three-warnings", 18, 9 + 4 + 1),
        # a character of five bits takes two words of four
        ("usual", 4, 9 + 5),
        ("three-warnings", 4, 9 + 5 + 1),
    ],
)
def test_workspace_by_hand(house, word_bits, words):
    game = load_game("noughts-and-crosses")
    assert workspace_words(game, load_house_rules(house, game), machine(word_bits)) == words


@pytest.mark.parametrize(("limit", "more"), [(5, 0), (15, 0), (16, 1), (255, 1), (256, 2)])
def test_plies_are_counted_up_to_the_limit(limit, more):
    """Ten plies need four bits without a limit; the board's own words stay as they are, with cells and without."""
    for name in ("noughts-and-crosses", "nim-3-4-5"):
        game = load_game(name)
        house, plain = load_house_rules("usual", game), limited(game, 15)
        words = workspace_words(limited(game, limit), house, machine(4))
        assert words == workspace_words(plain, house, machine(4)) + more
    assert workspace_words(limited(load_game("noughts-and-crosses"), 9), house, machine(4)) == 9 + 5


def machine(word_bits, more=""):
    return parse_machine(
        f'kind = "machine"\nfrom = "common practice"\nword-bits = {word_bits}\nstore-words = 512\n{more}\n'
        '[characters]\ncode = "ita2"\n',
        "ours.toml",
    )


def test_counter_that_needs_two_words():
    game = load_game("noughts-and-crosses")
    text = 'kind = "house-rules"\n[[rule]]\nwhen = ["any"]\nsay = "NO"\ncost = "turn"\nforgive = {}\n'
    fifteen, sixteen = (parse_house_rules(text.format(times), "ours.toml", game) for times in (15, 16))
    assert workspace_words(game, sixteen, machine(4)) == workspace_words(game, fifteen, machine(4)) + 1
    assert workspace_words(game, sixteen, machine(5)) == workspace_words(game, fifteen, machine(5))


def test_encodings_add_what_they_need(plays):
    """Words of 18 bits, an address in one: what docs/encodings.md says of each."""
    size = size_play(plays, plays[0].game.house, machine(18))
    base = workspace_words(plays[0].game.fair, plays[0].game.house, machine(18))
    added = {(row.encoding, row.reading): row.workspace_words - base for row in with_tables(size)}
    longest = 9
    plain = {
        "dense": 3,
        "diagram": 2,
        "sorted-keys-halved": 5,
        "hashed": 4,
        "pictures": 3,
        "reply-tree": 2 + longest,
        "sorted-keys": 3,
    }
    turned = {name: words + 3 + (name == "reply-tree") for name, words in plain.items()}
    assert added == {
        (name, reading): words
        for reading, each in ((PLAIN, plain), (TURNED, turned))
        for name, words in each.items()
    }


def test_machine_that_cannot_read_as_the_house_rules_ask_is_refused():
    game = load_game("noughts-and-crosses")
    by_key = parse_house_rules('kind = "house-rules"\ninput = "key"\n', "by-key.toml", game)
    play = play_of(HousedGame(game, by_key, FIRST), PLAIN, any_move(1))
    assert size_play([play], by_key, machine(18, 'reads = ["key"]')).fits
    with pytest.raises(
        BadInput, match=r"'by-key' read by key, and the machine 'ours' reads by line; expected"
    ):
        size_play([play], by_key, machine(18, 'reads = ["line"]'))


def test_message_that_cannot_be_said_is_refused():
    game = load_game("noughts-and-crosses")
    loud = parse_house_rules('kind = "house-rules"\n[messages]\ndraw = "DRAW!"\n', "loud.toml", game)
    play = play_of(HousedGame(game, loud, SECOND), PLAIN, any_move(1))
    with pytest.raises(BadInput, match=r"'loud', message 'draw': .* has no '!'; say '\.' instead"):
        size_play([play], loud, machine(18))


def test_encoding_that_cannot_hold_a_play_says_why():
    game = housed("four-by-three")
    play = play_of(game, PLAIN, any_move(1))
    narrow = machine(4)
    row = next(row for row in size_play([play], game.house, narrow).encodings if row.encoding == "dense")
    assert row.total_words > narrow.store_words
    assert not row.fits
    graph = play.graph
    graph.child[0] = graph.start
    row = next(row for row in size_play([play], game.house, narrow).encodings if row.encoding == "reply-tree")
    assert "lines that go round" in row.reason
    assert (row.fits, row.table_words, row.total_words, row.margin) == (False, None, None, None)
    assert row.message_words > 0


class Forgetful:
    """An encoding that packs nothing and answers nothing."""

    NAME, TITLE = "dense", "a faulty encoding"

    def __init__(self, right):
        self._right = right

    def lay_out(self, play):
        return self._right.lay_out(play)

    def decode(self, packed, game, codes):
        return np.full(len(codes), NO_MOVE, dtype=np.uint16)


def test_an_encoding_is_always_compared_with_the_play(plays, monkeypatch):
    found = dict(encodings_module.encodings())
    faulty = {**found, "dense": Forgetful(found["dense"])}
    monkeypatch.setattr("budget.encodings.encodings", lambda: faulty)
    monkeypatch.setattr("budget.size.encodings", lambda: faulty)
    with pytest.raises(RuntimeError, match=r"encoding dense \(plain\) gives move 65535 instead of"):
        size_play(plays, plays[0].game.house, load_machine("twelve-bit"))
