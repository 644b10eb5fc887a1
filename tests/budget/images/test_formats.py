"""Every format gives back what was written, and reads what other programs may write as well."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.card import load_machine, machine_names, parse_machine
from budget.images.build import MAP, build_files
from budget.images.formats import format_of
from budget.images.formats.intel_hex import check_byte as hex_check
from budget.images.formats.s_record import check_byte as s_check
from budget.images.image import Image, cut, image_of
from budget.machine.assembler import assemble
from games.problems import BadInput
from tests.budget.images.made import CARDS, FORMATS, RECORDS, cards_with_images, held, images, read, write

TEXT = """\
        at {first}
        load x
        jump on
on:     add =5
        halt
        word 1, 2, 3, 4, 5, 6, 7, 8
        pool
        at {first}+80
        word -1, -2
        at 20
x:      space 3
"""
BIG = parse_machine(
    'kind = "machine"\nfrom = "made up"\nword-bits = 24\nstore-words = 1000000\n'
    '[characters]\ncode = "ita2"\n[instructions]\nlayout = "words"\n',
    "big.toml",
)


@pytest.mark.parametrize("name", FORMATS)
@given(cards_with_images())
def test_what_is_written_reads_back(name, made):
    card, image = made
    raw = write(name, image, card)
    assert held(read(name, raw, card)) == held(image)
    found = format_of(raw, "some file")
    assert found is FORMATS[name] or not image.words


@pytest.mark.parametrize("name", FORMATS)
@given(cards_with_images(), st.sampled_from([b"\n", b"\r\n", b"\r"]), st.booleans())
def test_line_ends_capitals_and_spaces_are_free(name, made, line_end, is_small):
    card, image = made
    raw = write(name, image, card)
    if name == "tape":
        return
    text = raw.replace(b"\n", line_end)
    text = text.lower() if is_small else text
    if name in RECORDS:
        text = line_end + b" ".join(text[at : at + 3] for at in range(0, len(text), 3)) + line_end
    text = text if is_small else b"\xef\xbb\xbf" + text
    assert held(read(name, text, card)) == held(image)


@pytest.mark.parametrize("name", RECORDS)
@given(st.data())
def test_far_addresses(name, data):
    """Addresses that take three bytes and four, and words across the end of 65,536 bytes."""
    begin = data.draw(st.sampled_from([0, 21840, 21845, 43690, 349525, 699050, 999990]))
    words = {at: data.draw(st.integers(0, (1 << 24) - 1)) for at in range(begin, begin + 10)}
    image = Image(words, data.draw(st.sampled_from([0, 21845, 999999])), tuple(cut(words, 4)))
    assert held(read(name, write(name, image, BIG), BIG)) == held(image)


def hex_record(kind, offset, data):
    body = bytes([len(data), *offset.to_bytes(2, "big"), kind]) + data
    return f":{body.hex()}{hex_check(body):02x}\n"


def s_record(kind, size, address, data=b""):
    body = bytes([size + len(data) + 1]) + address.to_bytes(size, "big") + data
    return f"S{kind}{body.hex()}{s_check(body):02x}\n"


@given(st.sampled_from(CARDS), st.data())
def test_records_cut_anywhere_in_a_word(card, data):
    """Other programs lay bytes in records of any length, and words run over from one to the next."""
    image = data.draw(images(card))
    size = -(-card.word_bits // 8)
    hex_lines, s_lines = [], []
    for row in cut(image.words, 1 << 20):
        values = b"".join(image.words[at].to_bytes(size, "big") for at in row)
        at = row.start * size
        while values:
            length = data.draw(st.integers(1, 30))
            hex_lines.append(hex_record(0, at, values[:length]))
            s_lines.append(
                s_record(*data.draw(st.sampled_from([(1, 2), (2, 3), (3, 4)])), at, values[:length])
            )
            values, at = values[length:], at + length
    hex_text = "".join([*hex_lines, ":00000001FF"]).encode()
    s_text = "".join([*s_lines, s_record(9, 2, 0)]).encode()
    assert held(read("intel-hex", hex_text, card)) == (image.words, None)
    assert held(read("s-records", s_text, card)) == (image.words, 0)


def test_segments_of_16_bytes():
    card = BIG
    text = hex_record(2, 0, b"\x10\x02") + hex_record(0, 0, b"\1\2\3") + hex_record(3, 0, b"\x10\x00\0\x08")
    found = read("intel-hex", (text + ":00000001FF\n").encode(), card)
    assert held(found) == ({0x10020 // 3: 0x010203}, 0x10008 // 3)


@pytest.mark.parametrize("machine", machine_names())
def test_all_files_of_a_program(machine):
    card = load_machine(machine)
    first = "fixed" if card.fixed_words else "0"
    program = assemble(TEXT.format(first=first), card, "my.orders")
    built = build_files(program, "my")
    has_tape = machine != "kit-96"
    suffixes = {each.SUFFIX for each in FORMATS.values() if has_tape or ".tape" not in each.SUFFIX}
    assert set(built.files) == {f"my{suffix}" for suffix in (*suffixes, MAP)} == set(built.titles)
    assert len(built.left_out) == 2 * (not has_tape)
    for name, content in built.files.items():
        assert name == "my.tape.bin" or content.decode().isascii()
    for each in FORMATS.values():
        if f"my{each.SUFFIX}" in built.files:
            found = read(each.NAME, built.files[f"my{each.SUFFIX}"], card)
            assert held(found) == (program.image, program.start)


def test_rows_are_those_of_the_listing():
    card = load_machine("twelve-bit")
    text = write("rows", image_of(assemble(TEXT.format(first=0), card), "my"), card).decode()
    assert text.split("\n")[:4] == [
        "# my for twelve-bit: address, words, = sum",
        "0000 0424 = 276",
        "0001 4402 = 313",
        "0002 1414 = 782",
    ]
    assert "\n0004 0001 0002 = 9\n" in text
    assert text.endswith("0120 7777 7776 = 399\nSTART 0000 = 0\n")


def test_the_largest_store_is_named_by_three_bytes_or_four():
    def kinds(begin):
        raw = write("s-records", Image({begin: 1}, 0, (range(begin, begin + 1),)), BIG).decode()
        return [line[:2] for line in raw.splitlines()]

    assert kinds(21844) == ["S0", "S1", "S5", "S9"]
    assert kinds(21845) == ["S0", "S2", "S5", "S8"]
    assert kinds(999999) == ["S0", "S2", "S5", "S8"], "three million bytes are three bytes of address"
    with pytest.raises(BadInput, match="runs over the end"):
        read("s-records", (s_record(3, 4, 3_000_000, b"\0\0\0") + s_record(7, 4, 0)).encode(), BIG)


def test_more_records_than_two_bytes_count():
    words = {2 * at: at & 7 for at in range(1 << 16)}
    card = parse_machine(
        'kind = "machine"\nfrom = "made up"\nword-bits = 8\nstore-words = 200000\n[characters]\ncode = "ita2"\n',
        "wide.toml",
    )
    raw = write("s-records", Image(words, 0, ()), card)
    assert b"\nS6040100" in raw
    counted = s_record(1, 2, 0, b"\7") + s_record(6, 3, 1) + s_record(9, 2, 0)
    assert read("s-records", counted.encode(), card).words == {0: 7}
