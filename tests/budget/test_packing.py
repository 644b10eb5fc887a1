"""Packing is the identity there and back, and agrees with the slow obvious way."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.packing import BitReader, Fields, Unreadable, bits_for, bits_of, ceil_divide, in_words

word_lengths = st.integers(4, 40)


@st.composite
def fields_and_values(draw):
    bits = draw(st.integers(0, 63))
    values = draw(st.lists(st.integers(0, (1 << bits) - 1), max_size=60))
    return Fields.of(bits, draw(word_lengths)), values


def obvious_fields(values, bits, word_bits):
    """Digits of 0 and 1, low end first, cut into words."""
    digits = [format(value, f"0{bits}b")[::-1] if bits else "" for value in values]
    if not bits:
        return []
    if bits > word_bits:
        words = [text[at : at + word_bits] for text in digits for at in range(0, bits, word_bits)]
    else:
        count = word_bits // bits
        words = ["".join(digits[at : at + count]) for at in range(0, len(digits), count)]
    return [int(word[::-1], 2) for word in words]


@given(fields_and_values())
def test_fields_are_packed_the_obvious_way(case):
    fields, values = case
    words = fields.pack(np.array(values, dtype=np.uint64))
    assert words.tolist() == obvious_fields(values, fields.bits, fields.word_bits)
    assert len(words) == fields.words_for(len(values))
    assert fields.count_in(len(words)) >= len(values)


@given(fields_and_values())
def test_fields_are_read_back(case):
    fields, values = case
    words = fields.pack(np.array(values, dtype=np.uint64))
    assert fields.read(words, np.arange(len(values))).tolist() == values
    backwards = np.arange(len(values))[::-1]
    assert fields.read(words, backwards).tolist() == values[::-1]
    assert all(0 <= word < 1 << fields.word_bits for word in words.tolist())


@given(st.integers(1, 63), word_lengths)
def test_field_that_is_too_large_is_refused(bits, word_bits):
    with pytest.raises(ValueError, match="does not fit"):
        Fields.of(bits, word_bits).pack(np.array([0, 1 << bits], dtype=np.uint64))


@given(st.integers(1, 63), word_lengths, st.integers(0, 50))
def test_reading_beyond_the_words_is_an_error_and_no_value(bits, word_bits, count):
    fields = Fields.of(bits, word_bits)
    words = fields.pack(np.zeros(count, dtype=np.uint64))
    with pytest.raises(IndexError):
        fields.read(words, np.array([fields.count_in(len(words))]))


numbers = st.integers(0, 63).flatmap(
    lambda width: st.tuples(st.just(width), st.integers(0, (1 << width) - 1))
)


@given(st.lists(numbers, max_size=60), word_lengths)
def test_stream_is_packed_the_obvious_way_and_read_back(numbers, word_bits):
    widths = np.array([width for width, _ in numbers], dtype=np.intp)
    values = np.array([value for _, value in numbers], dtype=np.uint64)
    words = in_words(bits_of(values, widths), word_bits).tolist()
    digits = "".join(format(value, f"0{width}b") if width else "" for width, value in numbers)
    cut = [digits[at : at + word_bits] for at in range(0, len(digits), word_bits)]
    assert words == [int(word.ljust(word_bits, "0"), 2) for word in cut]
    reader = BitReader(words, word_bits)
    assert [reader.read(width) for width, _ in numbers] == values.tolist()


@given(st.lists(st.integers(0, 15), max_size=9), word_lengths)
def test_stream_ends_where_its_words_end(words, word_bits):
    reader = BitReader(words, word_bits)
    for _ in range(len(words) * word_bits):
        reader.read(1)
    assert reader.read(0) == 0
    with pytest.raises(Unreadable):
        reader.read(1)


@given(st.integers(0, 10_000), st.integers(1, 100))
def test_ceil_divide(amount, size):
    parts = ceil_divide(amount, size)
    assert parts * size >= amount > (parts - 1) * size or (amount, parts) == (0, 0)


def test_bits_for_choices():
    assert [bits_for(choices) for choices in (0, 1, 2, 3, 4, 5, 8, 9, 16, 17)] == [
        0,
        0,
        1,
        2,
        2,
        3,
        3,
        4,
        4,
        5,
    ]
