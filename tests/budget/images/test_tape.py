"""Tape: the same characters as bytes and as a drawing, in every code."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.card import load_machine
from budget.images.formats.drawn_tape import feed_after
from budget.images.image import Image
from games.problems import BadInput
from tests.budget.images.made import CARDS, FORMATS, held, images, read, write

LAMPS = """\
kind = "characters"
title = "lamps"
from = "made up"
bits = 8
end = 200
[[case]]
name = "all"
table = ["~~0123456789ABCDEFSTR =/", "{rest}"]
"""


@given(st.sampled_from(CARDS), st.data())
def test_the_drawing_has_the_holes_of_the_bytes(card, data):
    image = data.draw(images(card))
    drawn = write("drawn-tape", image, card).decode().splitlines()
    codes = write("tape", image, card)
    assert len(drawn) == len(codes)
    for line, code in zip(drawn, codes, strict=True):
        strip = line.split("|")[1]
        assert strip[2] == "."
        assert [sign == "o" for sign in strip[:2] + strip[3:]] == [
            bool(code >> unit & 1) for unit in range(5)
        ]


def test_what_stands_beside_the_holes():
    card = load_machine("delay-line")
    drawn = write("drawn-tape", Image({0: 0o737775}, 0, (range(1),)), card).decode().splitlines()
    beside = [line.split("|")[2].strip() for line in drawn]
    assert beside[:20] == [""] * 20 == beside[-20:]
    assert beside[20:27] == ["letters", "figures", "0", "0", "0", "", "7"]
    assert "".join(beside[-37:-20]) == "lettersSTARTfigures000=0"


@pytest.mark.parametrize(("units", "feed"), [(4, 2), (5, 2), (6, 3), (7, 3), (8, 3)])
def test_where_the_feed_hole_is(units, feed):
    assert feed_after(units) == feed


def test_a_code_without_line_end_ends_rows_by_a_stroke():
    card = load_machine("twelve-bit")
    image = Image({0: 0o17, 1: 0o20}, 0, (range(2),))
    raw = write("tape", image, card)
    signs = {code: sign for sign, code in card.characters.code.cases[0].codes.items()}
    assert "".join(signs.get(code, "") for code in raw) == "0000 0017 0020 = 47/START 0000 = 0/"
    assert held(read("tape", raw, card)) == held(image)


def test_blank_tape_and_shifts_anywhere():
    card = load_machine("delay-line")
    image = Image({0: 0o737775}, 0, (range(1),))
    raw = write("tape", image, card)
    assert held(read("tape", raw[20:].replace(bytes([27]), bytes([0, 31, 0, 27])), card)) == held(image)


def test_a_code_of_ones_own(tmp_path):
    """Blank tape is the code that ends a message, and files that hold no control characters go by their names."""
    (tmp_path / "lamps.toml").write_text(LAMPS.format(rest="~" * (256 - 24)), encoding="utf-8")
    text = 'kind = "machine"\nfrom = "made up"\nword-bits = 8\nstore-words = 64\n[characters]\ncode = "lamps.toml"\n'
    (tmp_path / "card.toml").write_text(text, encoding="utf-8")
    card = load_machine(tmp_path / "card.toml")
    image = Image({0: 255, 9: 16}, 3, (range(1), range(9, 10)))
    for name in ("tape", "drawn-tape"):
        raw = write(name, image, card)
        assert held(read(name, raw, card)) == held(image)
    assert write("tape", image, card)[:20] == bytes([200] * 20)


def test_mistakes_on_tape_are_told_as_it_prints():
    card = load_machine("delay-line")
    with pytest.raises(BadInput) as caught:
        read("tape", bytes([27, 22, 4, 16, 2, 9, 4, 16]), card)
    assert [str(problem) for problem in caught.value.problems] == [
        "file (as it prints):2:1: '<9>' is no address; expected octal digits, up to 777",
    ]
    with pytest.raises(BadInput, match="character 2 is 32, and ITA2, the"):
        read("tape", bytes([27, 32]), card)


def test_what_a_code_cannot_say():
    card = load_machine("kit-96")
    for name in ("tape", "drawn-tape"):
        with pytest.raises(BadInput, match="has no space"):
            write(name, Image({0: 15}, 0, (range(1),)), card)
    assert set(FORMATS) == {"intel-hex", "s-records", "drawn-tape", "tape", "rows"}
