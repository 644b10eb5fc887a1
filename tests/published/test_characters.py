"""The character codes hold what the published standards say.

ITA2: ITU-T (formerly CCITT) Recommendation S.1, "International Telegraph Alphabet No. 2".  The code of a character is
the number whose bits are the units, unit 1 as the least bit.  The table below was written down from memory of S.1, not
from our data; one printed table seen has ; where S.1 has = (figures case of V).

ISO 646: ISO/IEC 646:1991 (the same code as ECMA-6, 6th edition 1991, which anyone can read, and ITU-T T.50): the
positions of the invariant characters and the twelve that national versions may fill differently.
"""

import string

import pytest

from budget.characters import load_characters

ITA2_LETTERS_TABLE = """
    A 3   B 25  C 14  D 9   E 1   F 13  G 26  H 20  I 6   J 11  K 15  L 18  M 28
    N 12  O 24  P 22  Q 23  R 10  S 5   T 16  U 7   V 30  W 19  X 29  Y 21  Z 17
"""
ITA2_FIGURES_TABLE = """
    A -   B ?   C :   E 3   I 8   K (   L )   M .   N ,   O 9   P 0
    Q 1   R 4   S '   T 5   U 7   V =   W 2   X /   Y 6   Z +
"""


def by_key(table):
    """The entries of a table as printed above: each key and what stands beside it."""
    return dict(zip(table.split()[::2], table.split()[1::2], strict=True))


ITA2_LETTERS = {key: int(code) for key, code in by_key(ITA2_LETTERS_TABLE).items()}
ITA2_FIGURES_ON_KEYS = by_key(ITA2_FIGURES_TABLE)
NO_FIGURE = "DFGHJ"
"""Keys without a figure to print: D asks who is there, J rings the bell, and F, G, H are left to national use."""
NUL, LINE_FEED, SPACE, CARRIAGE_RETURN, FIGURE_SHIFT, LETTER_SHIFT = 0, 2, 4, 8, 27, 31

ISO646_NATIONAL = "\x23\x24\x40\x5b\x5c\x5d\x5e\x60\x7b\x7c\x7d\x7e"

ITA2 = load_characters("ita2")
ISO646 = load_characters("iso646")
SIX_BIT = load_characters("six-bit")


def test_the_published_letters_are_a_permutation_of_the_codes():
    controls = {NUL, LINE_FEED, SPACE, CARRIAGE_RETURN, FIGURE_SHIFT, LETTER_SHIFT}
    assert sorted([*ITA2_LETTERS.values(), *controls]) == list(range(32))
    assert sorted([*ITA2_FIGURES_ON_KEYS, *NO_FIGURE]) == sorted(ITA2_LETTERS)


@pytest.mark.parametrize("letter", ITA2_LETTERS)
def test_ita2_letter(letter):
    assert ITA2.encode(letter) == (ITA2_LETTERS[letter],)
    assert ITA2.encode(letter.lower()) == (ITA2_LETTERS[letter],)


@pytest.mark.parametrize("key", ITA2_FIGURES_ON_KEYS)
def test_ita2_figure(key):
    assert ITA2.encode(ITA2_FIGURES_ON_KEYS[key]) == (FIGURE_SHIFT, ITA2_LETTERS[key])


def test_ita2_has_nothing_else():
    known = {" ", *ITA2_LETTERS, *ITA2_FIGURES_ON_KEYS.values()}
    assert set(ITA2.characters) == known
    assert (ITA2.bits, ITA2.end) == (5, NUL)


def test_ita2_space_and_line_end_are_the_same_in_both_cases():
    assert ITA2.encode("A 5 B") == (3, SPACE, FIGURE_SHIFT, 16, SPACE, LETTER_SHIFT, 25)
    assert ITA2.encode("5\n5") == (FIGURE_SHIFT, 16, CARRIAGE_RETURN, LINE_FEED, 16)


@pytest.mark.parametrize("code", range(128))
def test_iso646_place(code):
    """Python's own ASCII is the version of ISO 646 that fills the national places too."""
    sign = chr(code)
    if sign in ISO646_NATIONAL or not sign.isprintable():
        assert sign not in ISO646.characters
    else:
        assert ISO646.encode(sign) == (code,)


def test_iso646_controls():
    assert ISO646.encode("\n") == (0x0D, 0x0A)
    assert (ISO646.bits, ISO646.end) == (7, 0x00)


def test_six_bit_code_is_columns_2_to_5_of_iso646_without_the_upper_bit():
    columns = [chr(code) for code in range(0x20, 0x60) if chr(code) not in ISO646_NATIONAL]
    assert sorted(SIX_BIT.characters) == sorted(columns)
    for sign in columns:
        assert SIX_BIT.encode(sign) == (ord(sign) & 0x3F,)
    for letter in string.ascii_lowercase:
        assert SIX_BIT.encode(letter) == SIX_BIT.encode(letter.upper())
    assert SIX_BIT.end == ord("@") & 0x3F, "a national place, so no message can hold it"
