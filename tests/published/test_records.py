"""Records and tape hold what others have published.

Check bytes are from the shared figures, each with its source beside it.  The worked examples are from the manual pages
srec_intel(5) and srec_motorola(5) of Debian's package srecord 1.64, the first of which says that it follows Intel's
"Hexadecimal Object File Format Specification, revision A", 1988.  The block of four records is from memory of the
article "Intel HEX" of a free encyclopaedia; whoever remembers a digit wrongly gets a wrong check byte.
"""

import pytest

from budget.card import load_machine
from budget.images.formats import formats
from budget.images.formats.intel_hex import check_byte as hex_check
from budget.images.formats.s_record import check_byte as s_check
from budget.images.image import Image, image_in
from tests.published.test_characters import (
    CARRIAGE_RETURN,
    FIGURE_SHIFT,
    ITA2_FIGURES_ON_KEYS,
    ITA2_LETTERS,
    LETTER_SHIFT,
    LINE_FEED,
    NUL,
    SPACE,
)

BYTES = load_machine("rom-4k")
HELLO = b"Hello, World\n"


def read(name, text, card=BYTES):
    return image_in(formats()[name].read(text.encode(), card, "published"), card)


@pytest.mark.parametrize(
    ("record", "check", "source"),
    [
        ("03012300010203", 0xD3, "device-programmer manual, Intel MCS-86 format page"),
        ("00000001", 0xFF, "Intel Hexadecimal Object File Format Specification rev. A, 1988"),
        ("020000021200", 0xEA, "from memory: an extended segment address of 1200"),
        ("020000040800", 0xF2, "from memory: an extended linear address of 0800"),
        ("0400000300003800", 0xC1, "from memory: a start segment address"),
        ("04000005000000CD", 0x2A, "from memory: a start linear address"),
    ],
)
def test_check_byte_of_intel_hex(record, check, source):
    assert hex_check(bytes.fromhex(record)) == check, source


@pytest.mark.parametrize(
    ("record", "check", "source"),
    [
        ("07FEDC210080CF", 0xAE, "C Users Journal 7(4), 1989"),
        ("0C000054455354312E484558", 0x6F, "DTS Insight support note"),
    ],
)
def test_check_byte_of_s_records(record, check, source):
    assert s_check(bytes.fromhex(record)) == check, source


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("intel-hex", ":0D00000048656C6C6F2C20576F726C640AA1\n:00000001FF\n"),
        ("s-records", "S00600004844521B\nS110000048656C6C6F2C20576F726C640A9D\nS5030001FB\nS9030000FC\n"),
    ],
)
def test_hello_world_of_the_manual_pages(name, text):
    words = dict(enumerate(HELLO))
    assert read(name, text).words == words
    start = None if name == "intel-hex" else 0
    title = "HDR"
    assert formats()[name].write(Image(words, start, (range(len(HELLO)),), title), BYTES).decode() == text


def test_four_records_from_memory():
    text = """\
:10010000214601360121470136007EFE09D2190140
:100110002146017E17C20001FF5F16002148011928
:10012000194E79234623965778239EDA3F01B2CAA7
:100130003F0156702B5E712B722B732146013421C7
:00000001FF
"""
    words = read("intel-hex", text).words
    assert sorted(words) == list(range(0x100, 0x140))
    assert (words[0x100], words[0x13F]) == (0x21, 0x21)


def test_a_tape_is_punched_in_the_published_code():
    """Row 000 of the delay-line machine: digits, space and = of ITU-T S.1, and the shifts that lead there."""
    figures = {sign: ITA2_LETTERS[key] for key, sign in ITA2_FIGURES_ON_KEYS.items()}
    card = load_machine("delay-line")
    tape = formats()["tape"].write(Image({0: 0o737775}, None, (range(1),)), card)
    row = [SPACE if sign == " " else figures[sign] for sign in "000 737775 = 495"]
    # A space is the same in both cases, so the tape shifts to figures once, before the first digit.
    blank = [NUL] * 20
    assert list(tape) == [*blank, LETTER_SHIFT, FIGURE_SHIFT, *row, CARRIAGE_RETURN, LINE_FEED, *blank]
