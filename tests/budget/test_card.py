"""Cost cards: those that come with the house, what is worked out from them, and every mistake that they can hold."""

import re
from fractions import Fraction
from pathlib import Path

import pytest

from budget.card import load_machine, machine_names, parse_machine
from budget.machine.pace import Turning
from games.problems import BadInput

ROOT = Path(__file__).resolve().parent.parent.parent
BAD = ROOT / "tests" / "bad" / "machines"

EXPECTED = {
    "all-fixed": [(6, "'fixed-words' should be a whole number from 0 to 511, not 512")],
    "characters-as-text": [(6, "'characters' should be a table: [characters]")],
    "empty": [
        (1, """'kind' is missing; expected kind = "machine\""""),
        (1, "'from' is missing"),
        (1, "'word-bits' is missing; expected word-bits = a whole number from 4 to 40"),
        (1, "'store-words' is missing"),
        (1, "'characters' is missing"),
    ],
    "empty-source": [(3, "'from' is empty; expected a few words")],
    "misspelt-below": [(9, "'per-words' is not known here; expected bits, code, per-word")],
    "misspelt-key": [(5, "'store-word' is not known here")],
    "narrow-word": [(9, "a character has 5 bits and a word 4; expected words-per-character = 2 in place")],
    "narrow-word-one-each": [(9, "a character has 5 bits and a word 4; expected words-per-character = 2")],
    "no-characters": [(1, "'characters' is missing; expected a table, begun by [characters]")],
    "no-code": [(7, "'code' is missing; expected code = ")],
    "no-kind": [(1, "'kind' is missing")],
    "no-source": [(1, "'from' is missing")],
    "no-store": [(1, "'store-words' is missing")],
    "no-way-to-read": [(6, """'reads' is empty; expected "line", "key" or both""")],
    "none-per-word": [(9, "'per-word' should be a whole number from 1 to 40, not 0")],
    "not-toml": [(4, "this is not TOML")],
    "not-utf8": [(3, "expected UTF-8 text")],
    "other-kind": [(1, """'kind' should be "machine", not "machin"; did you mean 'machine'?""")],
    "source-as-number": [(2, "'title' should be a text in quotes"), (3, "'from' should be a text in quotes")],
    "store-of-nothing": [(5, "'store-words' should be a whole number from 1 to 1048576, not 0")],
    "store-too-large": [(5, "not 1048577")],
    "store-with-point": [(5, "'store-words' should be a whole number")],
    "too-few-bits": [(9, "'bits' is 6, but ISO 646, the seven-bit code needs 7 bits a character")],
    "too-many-bits": [(9, "'bits' should be a whole number from 1 to 8, not 9")],
    "too-many-per-word": [(9, "4 characters of 5 bits take 20 bits, and a word has 18; expected at most 3")],
    "two-mistakes": [(4, "'word-bits'"), (5, "'store-words'"), (6, "'speed' is not known here")],
    "two-words-for-nothing": [(9, "a character of 5 bits fits in a word of 18; leave")],
    "no-room-for-a-detail": [
        (11, "half a word of 9 bits leaves 5 beside the order, and at least 6 are needed")
    ],
    "no-room-for-an-address": [
        (11, 'leaves 8 beside the order, and an address takes 12; expected layout = "words" or')
    ],
    "no-room-in-half-a-word": [
        (11, "half a word of 13 bits leaves 9 beside the order, and an address takes 11")
    ],
    "pages-in-words": [(12, 'addresses = "page" goes with layout = "one-word" only')],
    "pages-out-of-reach": [(12, "a word cannot hold an address, so no word can lead to another page")],
    "rate-as-number": [(11, "'per-second' should be a text in quotes")],
    "rate-in-words": [(11, '\'per-second\' should be a number of characters, such as "10" or "6 2/3"')],
    "rate-misspelt": [(11, "'per-secnd' is not known here; expected per-second; did you mean")],
    "time-as-text": [(6, "'time' should be a table: [time]")],
    "time-of-nothing": [(11, "'cycle' should be a time with its unit (s, ms, us or ns), such as \"1.5 ms\"")],
    "time-of-unknown-order": [(13, "or subtract; did you mean 'load'?")],
    "time-without-cycle": [(10, "'cycle' is missing")],
    "time-without-unit": [(11, "'cycle' should be a time with its unit")],
    "turning-without-place": [(14, "'spacing' is 8 and a turn has 64 words, so some would have no place")],
    "unknown-base": [
        (11, "'base' should be 2, 8, 10 or 16, not 7"),
        (12, "'links' should be a whole number from 1"),
    ],
    "unknown-layout": [(11, "not \"one word\"; did you mean 'one-word'?")],
    "unknown-programs": [(6, """'programs' should be "own", "order-sheet" or "compiler", not "tape\"""")],
    "unknown-code": [(8, "not \"ita-2\"; did you mean 'ita2'?")],
    "unknown-way-to-read": [(6, """'reads' cannot hold "keys"; expected line or key; did you mean 'key'?""")],
    "word-as-text": [(4, "'word-bits' should be a whole number from 4 to 40")],
    "word-as-yes": [(4, "'word-bits' should be a whole number from 4 to 40")],
    "word-too-long": [(4, "'word-bits' should be a whole number from 4 to 40, not 41")],
    "word-too-short": [(4, "'word-bits' should be a whole number from 4 to 40, not 3")],
}
"""For each faulty card the line of every mistake, and a part of what is said."""

CARD = """\
kind = "machine"
from = "common practice"
word-bits = {word}
store-words = 300

[characters]
code = "{code}"
"""


def card(word=18, code="ita2", more=""):
    return parse_machine(CARD.format(word=word, code=code) + more, "ours.toml")


@pytest.mark.parametrize("name", EXPECTED)
def test_faulty_card(name):
    file = str(BAD / f"{name}.toml")
    with pytest.raises(BadInput) as caught:
        load_machine(file)
    told = caught.value.problems
    assert [problem.line for problem in told] == [line for line, _ in EXPECTED[name]]
    for problem, (_, part) in zip(told, EXPECTED[name], strict=True):
        assert part in problem.message
        assert str(problem).startswith(f"{file}:{problem.line}:")
        assert str(problem).isprintable()


def test_every_faulty_card_is_expected():
    assert {path.stem for path in BAD.glob("*.toml")} == set(EXPECTED)
    assert len(EXPECTED) >= 15


@pytest.mark.parametrize("name", machine_names())
def test_card_of_the_house(name):
    machine = load_machine(name)
    path = ROOT / "budget" / "machines" / f"{name}.toml"
    assert load_machine(path)._replace(name=name) == machine
    assert machine.name == name
    assert 4 <= machine.word_bits <= 40
    assert re.search(r"[Cc]ommon practice|ITU-T|ISO", machine.origin), (
        "every figure has a source or is called common"
    )
    assert path.read_text(encoding="utf-8").isascii()


def test_the_range_of_machines():
    machines = [load_machine(name) for name in machine_names()]
    assert {"twelve-bit", "delay-line"} <= set(machine_names())
    assert len(machines) >= 9
    assert {machine.characters.code.name for machine in machines} == {
        "ita2",
        "iso646",
        "six-bit",
        "hex-digit",
        "marked-eight-bit",
    }
    assert {machine.word_bits for machine in machines} == {4, 8, 12, 18, 31, 39}
    assert {machine.program.layout.shape for machine in machines} == {"one-word", "two-a-word", "words"}
    assert all(machine.program.pace and machine.program.reading for machine in machines)


def test_figures_that_are_left_out():
    plain = card()
    assert plain.characters[1:] == (5, 3, 1)
    assert (plain.name, plain.title, plain.reads) == ("ours", "ours", ("line", "key"))
    assert card(word=40, code="iso646").characters[1:] == (7, 5, 1)
    assert card(word=40, code="iso646", more="bits = 8\n").characters[1:] == (8, 5, 1)
    assert card(word=5, code="six-bit").characters[1:] == (6, 1, 2)
    assert card(more="per-word = 1\n").characters[1:] == (5, 1, 1)


def test_words_that_hold_an_address():
    assert [card(word=word).address_words for word in (4, 8, 9, 18)] == [3, 2, 1, 1]
    assert [load_machine(name).address_words for name in ("home-1k", "relay-256", "twelve-bit")] == [2, 1, 1]


def test_words_that_hold_a_number():
    assert [card(word=4).words_holding(bits) for bits in (0, 1, 4, 5, 8, 9)] == [1, 1, 1, 2, 2, 3]


def test_programs_where_the_card_says_nothing_of_them():
    plain = card().program
    assert (plain.layout.shape, plain.layout.is_paged, plain.links, plain.base) == ("one-word", False, 4, 8)
    assert (plain.pace, plain.reading, plain.printing) == (None, None, None)
    assert card(word=8, more="bits = 8\n").program.layout.shape == "words"
    assert card(word=8).program.base == 16
    assert (card().fixed_words, card().first_fixed, card().programs) == (0, 300, "own")


def test_times_are_exact():
    more = "[time]\ncycle = '{}'\ncycles = 3\n[time.orders]\ncall = 7\n[output]\nper-second = '6 2/3'\n"
    cycles = {
        "1.5 ms": Fraction(3, 2000),
        "4/13 us": Fraction(4, 13_000_000),
        "250 ns": Fraction(1, 4_000_000),
        "2 s": 2,
    }
    for text, seconds in cycles.items():
        program = card(more=more.format(text)).program
        assert program.pace.cycle == seconds
        assert (program.pace.cycles["call"], program.pace.cycles["load"]) == (7, 3)
        assert program.printing == Fraction(20, 3)


def test_a_store_that_turns():
    turning = Turning(64, 9)
    assert sorted(turning.angle(address) for address in range(64)) == list(range(64))
    assert (turning.angle(1), turning.wait(0, 1), turning.wait(10, 1), turning.wait(9, 1)) == (9, 9, 63, 0)


def test_unknown_machine():
    with pytest.raises(BadInput, match=r"no machine called 'twelvebit'.*did you mean 'twelve-bit'"):
        load_machine("twelvebit")
    with pytest.raises(BadInput, match=r"nowhere\.toml: cannot be read"):
        load_machine("nowhere.toml")
