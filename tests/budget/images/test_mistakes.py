"""What is no image is told with its line and column, every mistake at once; nothing is taken for right."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.card import load_machine
from budget.images.formats import format_of
from budget.images.image import image_in
from budget.images.load import load_image, read_rows
from games.problems import BadInput
from tests.budget.images.made import CARDS, FORMATS, RECORDS, images, write

CARD = load_machine("twelve-bit")
END = "\n:00000001FF"

UNREADABLE = {
    # what stands in the file: what is told
    "": ["f: is empty; expected an image, or rows of an address and words"],
    " \n\t\n": ["f: is empty"],
    ":0200000A05EF00" + END: ["f:1:8: there is no type 0A; expected 00 to 05"],
    ":02000001050FE9" + END: [
        "f:1:2: a record of type 01 has 0 data bytes, not 2",
    ],
    ":0200000005GFEA" + END: ["f:1:12: expected a hexadecimal digit, not 'G'"],
    ":0200000005EFA" + END: ["f:1:14: expected pairs of digits, not 13 digits"],
    ":020000" + END: ["f:1:1: has 3 bytes; expected 5 at least"],
    ":0400000005EF08" + END: ["f:1:2: the first byte says that there are 9 bytes, and there are 7"],
    ":0200000005EF0A\n0200000005EF0A" + END: ["f:2:1: expected a record, such as :10000000..."],
    ":00000001FF\n:0200000005EF0A": ["f:2:1: stands after the end record on line 1"],
    ":0200010005EF09" + END: [
        "f:1:1: begins inside the word 0; expected a record that begins with a whole word"
    ],
    ":0100000005FA" + END: ["f:1:10: a word of 2 bytes begins here; expected 1 more in the next record"],
    ":0100000005FA\n:0100020005F8" + END: [
        "f:1:10: a word of 2 bytes begins here; expected 1 more in the next record",
        "f:2:10: a word of 2 bytes begins here; expected 1 more in the next record",
    ],
    ":02200000000ADE\n:022000000001DD" + END: [
        "f:1:1: runs over the end of the store of 'twelve-bit', 4,096 words",
        "f:2:1: runs over the end of the store of 'twelve-bit', 4,096 words",
    ],
    ":02FFFF000001FF" + END: ["f:1:4: runs over the end of its 65,536 bytes; expected a new record there"],
    ":0400000500000001F6" + END: ["f:1:10: byte 1 is no place of 'twelve-bit' to begin at"],
    ":0400000500002000D7" + END: ["f:1:10: byte 2000 is no place of 'twelve-bit' to begin at"],
    "S1050000000AF0\nS4030000FC": ["f:2:1: expected a record, such as S1130000..."],
    "S9040000FBFB": ["f:1:3: S9 has 4 bytes, not 5"],
    "S5040001FAFA": ["f:1:3: S5 has 4 bytes, not 5"],
    "S2040000FB": ["f:1:3: the first byte says that there are 5 bytes, and there are 4"],
    "S3040000FBFB": ["f:1:3: S3 has 6 bytes at least, not 5"],
    "0000 17\n0009 17": ["f:2:1: '0009' is no address; expected octal digits, up to 7777"],
    "10000 17": ["f:1:1: '10000' is no address"],
    "0000": ["f:1:1: expected words after the address"],
    "= 17": ["f:1:1: expected an address before '='"],
    "0000 17 =": ["f:1:9: expected one number after '=', the sum of the row"],
    "0000 17 = 1 2": ["f:1:13: expected one number after '=', the sum of the row"],
    "0000 17 = = 2": ["f:1:11: expected one number after '=', the sum of the row"],
    "0000 17 = -2": ["f:1:11: expected one number after '=', the sum of the row"],
    "7777 17 17": ["f:1:9: runs over the end of the store, 7777"],
    "START": ["f:1:1: expected 'START' and one place, up to 7777"],
    "START 9": ["f:1:7: expected 'START' and one place, up to 7777"],
    "START 1 2": ["f:1:7: expected 'START' and one place, up to 7777"],
    "start 1\nStart 2": ["f:2:1: there is a 'START' already; expected it once"],
    "| o.  o|": ["f:1:1: expected 6 places of 'o' or space between two '|', with '.' after 3"],
    "|   .   |\n  | x .   |": ["f:2:5: expected 'o' or a space, not 'x'"],
    "\0\x7f": ["f: character 2 is 127, and "],
}

SLIPS = {
    ":0200000005EF0B" + END: ["f:1:14: the check byte is 0B, and what stands before it needs 0A"],
    ":0200000015EFFA" + END: ["f:1:10: '15EF' is no word of 'twelve-bit'; expected one up to 0FFF"],
    ":0200000005EF0A": ["f: the end record is missing; expected :00000001FF"],
    ":0200000005EF0A\n:00000001FE": ["f:2:10: the check byte is FE, and what stands before it needs FF"],
    ":0200000005EF0A\n:0200000005EF0A" + END: [
        "f:2:10: the word 0000 is given already, on line 1; expected it once",
    ],
    ":0100000005FB\n:01000100EF0F" + END: [
        "f:1:12: the check byte is FB, and what stands before it needs FA",
    ],
    "S105000005EF06\nS9030000FC": [],
    "S105000005EF07\nS9030000FC": ["f:1:13: the check byte is 07, and what stands before it needs 06"],
    "S105000005EF06\nS5030002FA\nS9030000FC": ["f:2:5: counts 2 records of data, and there are 1"],
    "S105000005EF06\nS9030000FD": ["f:2:9: the check byte is FD, and what stands before it needs FC"],
    "S105000005EF06": ["f: the end record is missing; expected S9, S8 or S7"],
    "0000 0017 = 14": ["f:1:13: the sum is 14, and what stands before it needs 15"],
    "0000 00170 10000 4O17": [
        "f:1:12: '10000' is no word of 'twelve-bit'; expected one up to 7777",
        "f:1:18: '4O17' is no word of 'twelve-bit'; expected one up to 7777",
    ],
    "0000 1 2\n0001 2": ["f:2:6: the word 0001 is given already, on line 1; expected it once"],
    "0000 17\nSTART 0001 = 2": ["f:2:14: the sum of the start is 2, and 0001 needs 1"],
}


def told(text):
    """Every mistake of a file, taken strictly."""
    raw = text.encode("latin-1")
    with pytest.raises(BadInput) as caught:
        image_in(format_of(raw, "f").read(raw, CARD, "f"), CARD)
    return [str(problem) for problem in caught.value.problems]


@pytest.mark.parametrize("text", UNREADABLE)
def test_what_cannot_be_read(text):
    found = told(text)
    assert len(found) == len(UNREADABLE[text]), found
    for problem, expected in zip(found, UNREADABLE[text], strict=True):
        assert problem.startswith(expected)


@pytest.mark.parametrize("text", SLIPS)
def test_what_is_read_and_yet_no_image(text):
    raw = text.encode()
    reading = format_of(raw, "f").read(raw, CARD, "f")
    if SLIPS[text]:
        assert told(text) == SLIPS[text]
    else:
        assert image_in(reading, CARD).words == {0: 0x5EF}


def test_files_that_are_none(tmp_path):
    for name, message in (("none.hex", "there is no such file"), (".", "it is a folder")):
        with pytest.raises(BadInput, match=message):
            read_rows(tmp_path / name, CARD)
    (tmp_path / "wide.txt").write_bytes("0000 17".encode("utf-16"))
    with pytest.raises(BadInput, match="UTF-16"):
        read_rows(tmp_path / "wide.txt", CARD)
    (tmp_path / "long.hex").write_bytes(b":" * ((1 << 24) + 1))
    with pytest.raises(BadInput, match="is larger than 16,777,216 bytes"):
        read_rows(tmp_path / "long.hex", CARD)
    (tmp_path / "start.txt").write_bytes(b"START 0")
    with pytest.raises(BadInput, match="holds no words"):
        load_image(tmp_path / "start.txt", CARD)


@pytest.mark.parametrize("name", RECORDS)
@given(st.data())
def test_one_digit_changed_is_found(name, data):
    """Check bytes, lengths and counts: no single digit of a record can be wrong unseen, but the type of an S-record."""
    card = data.draw(st.sampled_from(CARDS))
    text = write(name, data.draw(images(card)), card).decode()
    digits = [at for at, sign in enumerate(text) if sign in "0123456789ABCDEF" and text[at - 1] != "S"]
    at = data.draw(st.sampled_from(digits))
    other = data.draw(st.sampled_from(sorted(set("0123456789ABCDEF") - {text[at]})))
    wrong = (text[:at] + other + text[at + 1 :]).encode()
    with pytest.raises(BadInput):
        image_in(FORMATS[name].read(wrong, card, "f"), card)


@given(
    st.sampled_from(CARDS), st.binary(max_size=80) | st.text(":S01|o. =\n9AF", max_size=60).map(str.encode)
)
def test_any_bytes_are_read_or_told(card, raw):
    problems = [None]
    try:
        image_in(format_of(raw, "f").read(raw, card, "f"), card)
    except BadInput as bad:
        problems = [problem.with_caret() for problem in bad.problems]
    assert problems
