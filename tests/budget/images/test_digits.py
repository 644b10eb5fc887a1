"""Mistakes in numbers: each kind is made on purpose, and named."""

from itertools import product

import pytest

from budget.images.digits import CHANGED, EXTRA, LEFT_OUT, MANY, WRONG, mistake, remark

DIGITS = "0123"
NUMBERS = ["".join(digits) for digits in product(DIGITS, repeat=4)]


def same(one, two):
    return one.lstrip("0") == two.lstrip("0")


@pytest.mark.parametrize("place", range(4))
def test_one_wrong_digit(place):
    for should, digit in product(NUMBERS, f"{DIGITS}O"):
        if digit != should[place]:
            stands = should[:place] + digit + should[place + 1 :]
            assert mistake(should, stands) == (WRONG, place, 1)
            assert f"digit {place + 1} is " in remark(should, stands, 8)


@pytest.mark.parametrize(("one", "two"), [(0, 1), (1, 2), (2, 3), (0, 2), (1, 3), (0, 3)])
def test_two_digits_that_have_changed_places(one, two):
    for should in NUMBERS:
        if should[one] != should[two]:
            digits = list(should)
            digits[one], digits[two] = digits[two], digits[one]
            assert mistake(should, "".join(digits)) == (CHANGED, one, 2)


@pytest.mark.parametrize("place", range(4))
def test_a_digit_left_out(place):
    for should in NUMBERS:
        stands = should[:place] + should[place + 1 :]
        if not same(should, stands):
            found = mistake(should, stands)
            assert found.kind == LEFT_OUT
            assert same(should[: found.place] + should[found.place + 1 :], stands)


@pytest.mark.parametrize("place", range(5))
def test_a_digit_too_many(place):
    for should, digit in product(NUMBERS, DIGITS):
        stands = should[:place] + digit + should[place:]
        if not same(should, stands):
            found = mistake(should, stands)
            assert found.kind == EXTRA
            assert same(stands[: found.place] + stands[found.place + 1 :], should)


def test_every_other_mistake_has_two_wrong_digits_or_more():
    for should, stands in product(NUMBERS[::5], NUMBERS):
        differ = [place for place in range(4) if should[place] != stands[place]]
        if not differ:
            continue
        found = mistake(should, stands)
        assert (found.kind == MANY) == (
            len(differ) > 2 or (len(differ) == 2 and sorted(should) != sorted(stands))
        )
        assert found.is_near == (found.kind != MANY)
        assert found.digits == len(differ)


@pytest.mark.parametrize(
    ("should", "stands", "base", "told"),
    [
        ("4017", "4071", 8, "two digits have changed places"),
        ("4017", "4018", 8, "digit 4 is '8', which is no octal digit"),
        ("1011", "1012", 2, "digit 4 is '2', which is no binary digit"),
        ("4017", "4O17", 10, "digit 2 is 'O', which is no decimal digit"),
        ("4017", "4016", 8, "digit 4 is 6, not 7"),
        ("4017", "017", 8, "digit 1 (4) is left out"),
        ("0017", "7", 8, "digit 3 (1) is left out"),
        ("4017", "40117", 8, "digit 3 (1) is one too many"),
        ("4017", "5127", 8, "3 digits are wrong"),
        ("0F", "1G", 16, "2 digits are wrong"),
    ],
)
def test_what_is_told(should, stands, base, told):
    assert remark(should, stands, base) == told
