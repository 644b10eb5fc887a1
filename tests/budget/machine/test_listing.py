"""The listing: every word once, and sums that show a slip."""

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from budget.card import load_machine
from budget.machine.assembler import assemble
from budget.machine.listing import PRIME, as_json, in_base, row_sum, rows_of, word_counts

TEXT = """\
        load x
        jump on
on:     add =5
        halt
x:      space 3
        word 1, 2, 3, 4, 5, 6, 7, 8
"""


@pytest.mark.parametrize("machine", ["twelve-bit", "transistor-39", "home-1k", "kit-96"])
def test_every_word_of_the_image_is_shown_once(machine):
    program = assemble(TEXT, load_machine(machine))
    shown = [
        (row.address + number, word) for row in rows_of(program) for number, word in enumerate(row.words)
    ]
    assert dict(shown) == program.image
    assert len(shown) == len(program.image)
    assert all(row.sum == row_sum(row.address, row.words) for row in rows_of(program) if row.words)
    assert [row.left for row in rows_of(program) if row.left] == [3]
    texts = [row.text for row in rows_of(program) if row.text]
    assert set(texts) == {*TEXT.rstrip().split("\n"), "= 5"}


def test_the_second_half_of_a_word_is_shown_with_the_first():
    rows = list(rows_of(assemble(TEXT, load_machine("transistor-39"))))
    assert [(row.address, row.half, len(row.words)) for row in rows[:4]] == [
        (0, 1, 1),
        (0, 2, 0),
        (1, 1, 1),
        (1, 2, 0),
    ]


@given(st.integers(0, 4095), st.lists(st.integers(0, 4095), min_size=1, max_size=4), st.data())
def test_one_wrong_digit_always_changes_the_sum(address, words, data):
    place = data.draw(st.integers(0, len(words) - 1))
    digits = list(in_base(words[place], 8, 4))
    digit = data.draw(st.integers(0, 3))
    digits[digit] = data.draw(st.sampled_from(sorted(set("01234567") - {digits[digit]})))
    wrong = [*words[:place], int("".join(digits), 8), *words[place + 1 :]]
    assert row_sum(address, wrong) != row_sum(address, words)


@given(st.integers(0, 4095), st.lists(st.integers(0, 4095), min_size=2, max_size=4))
def test_words_that_have_changed_places_change_the_sum(address, words):
    for one, two in combinations(range(len(words)), 2):
        swapped = list(words)
        swapped[one], swapped[two] = words[two], words[one]
        differs = row_sum(address, swapped) != row_sum(address, words)
        assert differs == ((words[one] - words[two]) % PRIME != 0)


def test_counts_and_json():
    program = assemble(TEXT, load_machine("twelve-bit"))
    assert word_counts(program) == {"total": 16, "instructions": 4, "constants": 1, "data": 8, "space": 3}
    told = as_json(program)
    assert (told["machine"], told["base"], told["start"], told["labels"]) == (
        "twelve-bit",
        8,
        0,
        {"on": 2, "x": 4},
    )
    assert told["rows"][0]["words"] == [program.image[0]]
