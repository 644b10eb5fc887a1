"""More heaps, pins and strips: periods and values known by heart, and figures of the plainest program."""

from itertools import combinations_with_replacement, product

import pytest

from games.take.octal import any_number, read_octal
from solver import grundy
from tests.published import figures, plainly
from tests.published.figures import Published, found, long

WINNING_WAYS = "E. R. Berlekamp, J. H. Conway, R. K. Guy, Winning Ways, 1982, chapter 4 (from memory)"

# Octal codes ----------------------------------------------------------------------------------------------

VALUES = Published(
    {
        "0.6": [0, 0, 1, 2, 0, 1, 2, 3, 1, 2, 3, 4, 0, 3, 4, 2, 1, 3, 2, 1, 0, 2, 1, 4, 5, 1, 4, 5],
        "0.007": [0, 0, 0, 1, 1, 1, 2, 2, 0, 3, 3, 1, 1, 1, 0, 4, 3, 3, 3, 2, 2, 2, 4, 4, 0, 5, 5],
        "0.3": [0, 1] * 10, "0.33": [0, 1, 2] * 7, "0.75": [0, *[1, 2] * 10], "0.26": [0, 0, 1, 2, *[3, 0, 1, 2] * 5],
        "0.71": [0, 1, 2, *[1, 0] * 10],
    },
    f"{WINNING_WAYS}; 0.6, where a heap is never left without a rest, is OEIS A046695, 0.007 is treblecross",
)  # fmt: skip


@pytest.mark.parametrize("code", VALUES.value)
def test_first_values(code):
    wanted = VALUES.value[code]
    assert grundy.of_rows(read_octal(code), len(wanted) - 1).tolist() == wanted


PERIODS = Published(
    {
        "0.77": (12, 71), "0.07": (34, 53), "0.137": (34, 52), "0.17": (34, 33), "0.123": (5, 5), "0.055": (148, 259),
        "0.45": (20, 498), "0.156": (349, 3_479), "0.356": (142, 7_315), "0.644": (442, 3_256), "0.165": (1_550, 5_181),
    },
    "the values repeat with this period from this row on: R. K. Guy, C. A. B. Smith, 1956; J. C. Kenyon, 1967; "
    "R. Austin, 1976; A. Gangolli, T. Plambeck, 1989 (from memory)",
)  # fmt: skip
MANY_ROWS = ("0.156", "0.356", "0.644", "0.165")


@pytest.mark.parametrize("code", [long(code) if code in MANY_ROWS else code for code in PERIODS.value])
def test_periods(code):
    """The row before the first that repeats is an exception, and a period and a half later still none comes."""
    period, first = PERIODS.value[code]
    values = grundy.of_rows(read_octal(code), first + 5 * period // 2).tolist()
    assert values[first:-period] == values[first + period :]
    assert values[first - 1] != values[first - 1 + period]


COUSINS = Published(
    [("0.07", "0.137"), ("0.4", "0.07")],
    f"{WINNING_WAYS}; to be derived: a row of the one plays like a row of the other that is a pin shorter",
)


@pytest.mark.parametrize(("code", "other"), COUSINS.value)
def test_cousins(code, other):
    values, others = (grundy.of_rows(read_octal(each), 60).tolist() for each in (code, other))
    assert values == [0, *others[:-1]]


SUBTRACTION = Published(
    {(1, 3, 4): [0, 1, 0, 1, 2, 3, 2], (2, 3): [0, 0, 1, 1, 2], (1, 2, 4): [0, 1, 2], (1, 3): [0, 1]},
    'T. S. Ferguson, "Game Theory", lecture notes (from memory): the values repeat from the first on',
)  # fmt: skip


def octal_of(takes):
    return read_octal("0." + "".join("3" if number in takes else "0" for number in range(1, max(takes) + 1)))


@pytest.mark.parametrize("takes", SUBTRACTION.value)
def test_games_of_taking_certain_numbers(takes):
    block = SUBTRACTION.value[takes]
    assert grundy.of_rows(octal_of(takes), 10 * len(block) - 1).tolist() == block * 10


@pytest.mark.parametrize("code", ["0.77", "0.07", "0.137", "0.4", "0.6", "0.007", "0.26", "0.71"])
def test_values_of_rows_as_words(code):
    """The plainest program takes pins out of a word, and knows nothing of rows that fall apart."""
    digits = [int(digit) for digit in code[2:]]

    def after(row):
        for taken, digit in enumerate(digits, 1):
            for pin in range(len(row) - taken + 1):
                rests = row[:pin].endswith("|") + row[pin + taken :].startswith("|")
                if row[pin : pin + taken] == "|" * taken and digit >> rests & 1:
                    yield row[:pin] + "." * taken + row[pin + taken :]

    known = {}
    wanted = [plainly.grundy(after, "|" * pins, known) for pins in range(12)]
    assert grundy.of_rows(read_octal(code), 11).tolist() == wanted


# Nim, and heaps from which only certain numbers may be taken ----------------------------------------------

HEAPS = [sizes for count in (1, 2, 3) for sizes in combinations_with_replacement(range(1, 5), count)]


@pytest.mark.parametrize("misere", [False, True])
def test_nim_with_all_small_heaps(misere):
    for sizes in HEAPS:
        wanted = plainly.solve(plainly.heaps(sizes, range(1, 5), misere=misere))
        assert found(figures.read("take", play="heaps", heaps=sizes, misere=misere)) == wanted, sizes


@pytest.mark.parametrize("misere", [False, True])
@pytest.mark.parametrize("takes", [(1, 3, 4), (2, 3), (2, 5, 7), (1, 2, 4), (2, 4, 7), (3,)])
def test_one_heap_from_which_certain_numbers_are_taken(takes, misere):
    for size in range(max(takes), 25, 3):
        wanted = plainly.solve(plainly.heaps((size,), takes, misere=misere))
        game = figures.read("take", play="heaps", heaps=[size], take=takes, misere=misere)
        assert found(game) == wanted, size


def test_the_last_of_sixteen_counters_loses_if_one_to_three_are_taken():
    """Common practice: leave one more than a multiple of four; here 13 after the first move."""
    assert found(figures.read("take", play="heaps", heaps=[16], take=[1, 2, 3], misere=True)).value == "first"
    assert (
        found(figures.read("take", play="heaps", heaps=[17], take=[1, 2, 3], misere=True)).value == "second"
    )


# Kayles where the last pin loses --------------------------------------------------------------------------

MISERE_KAYLES = Published(
    [1, 4, 9, 12, 20],
    'W. L. Sibert, J. H. Conway, "Mathematical Kayles", International Journal of Game Theory 20, 1992 (from memory): '
    "the single rows that are lost for whoever begins, and no longer ones",
)


@pytest.mark.parametrize("pins", [*range(1, 15), *map(long, range(15, 21))])
def test_rows_of_misere_kayles(pins):
    game = figures.read("take", play="pins", rows=[pins], octal="0.77", misere=True)
    solution = found(game)
    assert (solution.value == "second") == (pins in MISERE_KAYLES.value)
    if pins <= 11:
        assert solution == plainly.solve(plainly.kayles(pins, misere=True))


# Northcott's strips against nim ---------------------------------------------------------------------------

STRIPS = ["F_S", "F__S", "F___S_", "_F_S__", "__FS__", "S___F_", "F____S", "_S__F_"]


@pytest.mark.parametrize("forward_only", [False, True])
def test_northcott_is_nim_with_the_gaps(forward_only):
    """Whoever moves wins where the gaps, as heaps of nim, are not worth 0: Winning Ways, 1982 (from memory)."""
    for one, two in product(STRIPS, repeat=2):
        gaps = [abs(strip.index("F") - strip.index("S")) - 1 for strip in (one, two)]
        if len(one) == len(two) and any(gaps):  # else nobody could go forward at the start
            game = figures.read("take", play="northcott", strips=[one, two], forward_only=forward_only)
            assert found(game).value == plainly.solve(plainly.heaps(gaps, range(1, 6))).value, (one, two)


def test_the_grundy_value_of_nim_is_the_exclusive_or_of_the_heaps():
    """C. L. Bouton, 1901, and P. M. Grundy, 1939: also for heaps that are larger than most people would lay out."""
    values = grundy.of_sums([[31, 17, 14], [255, 254, 1], [5, 5, 0]], grundy.of_rows(any_number(255), 255))
    assert values.tolist() == [31 ^ 17 ^ 14, 255 ^ 254 ^ 1, 0]
