"""Text on its way in and out."""

import pytest

from budget.card import load_machine, machine_names, parse_machine
from budget.machine.channel import code_of, keyed, named_codes, printed
from games.problems import BadInput

NARROW = parse_machine(
    'kind = "machine"\nfrom = "common practice"\nword-bits = 4\nstore-words = 99\n[characters]\ncode = "ita2"\n',
    "narrow.toml",
)


@pytest.mark.parametrize("name", machine_names())
def test_what_is_typed_can_be_printed(name):
    card = load_machine(name)
    text = "19A5B" if " " not in card.characters.code.characters else "AB 19, C"
    assert printed(card, keyed(card, text)) == text


def test_return_sends_the_first_of_a_line_end():
    delay, twelve = load_machine("delay-line"), load_machine("twelve-bit")
    assert keyed(delay, "a1\n") == [3, 27, 23, 8]
    assert keyed(twelve, "a1\n") == [1, 49, 0]
    assert printed(delay, [3, 8, 2, 3]) == "A\nA"


def test_parts_of_a_character():
    assert keyed(NARROW, "Z") == [1, 1]
    assert printed(NARROW, [1, 1, 3]) == "Z"


def test_codes_that_print_nothing_are_shown():
    assert printed(load_machine("delay-line"), [9, 3, 27, 9]) == "DA<9>"
    assert code_of(load_machine("twelve-bit").characters.code, "~") is None
    assert named_codes(load_machine("delay-line").characters.code) == {
        "letters_shift": 31,
        "figures_shift": 27,
        "line_feed": 2,
        "return_key": 8,
        "end_mark": 0,
    }


def test_what_cannot_be_typed():
    with pytest.raises(BadInput, match="one hexadecimal digit has no 'G', so nobody can type it on 'kit-96'"):
        keyed(load_machine("kit-96"), "G")
