"""What may be taken, as an octal code: for each number taken, a digit that says what may be left.

The digit of a number is the sum of 1 (nothing need be left), 2 (what is left may be one row) and 4 (it may
be two rows), so that 0.77 is Kayles (one pin or two, from anywhere) and 0.333 takes one, two or three from a
heap.  Source: R. K. Guy and C. A. B. Smith, "The G-values of various games", Proceedings of the Cambridge
Philosophical Society 52, 1956.
"""

import re
from collections.abc import Iterable, Sequence

from games.problems import listed

NOTHING, ONE_ROW, TWO_ROWS = 1, 2, 4
"""What may be left, by the number of rows that are left: digit ``>> rows & 1``."""
ANYTHING = NOTHING | ONE_ROW | TWO_ROWS
UNSPLIT = NOTHING | ONE_ROW
_CODE = re.compile(r"0?\.([0-7]+)")


class Octal:
    """An octal code: what may be left when 1, 2, 3, ... are taken."""

    __slots__ = ("digits",)

    def __init__(self, digits: Iterable[int]) -> None:
        kept = list(digits)
        while kept and not kept[-1]:
            kept.pop()
        self.digits = tuple(kept)
        """The digit of each number, 1 first; the last one is not 0."""

    @property
    def most(self) -> int:
        """The largest number that may ever be taken; 0 if there is none."""
        return len(self.digits)

    @property
    def splits(self) -> bool:
        """Whether two rows may be left."""
        return any(digit & TWO_ROWS for digit in self.digits)

    @property
    def numbers(self) -> tuple[int, ...]:
        """The numbers that may be taken, if what is left allows it."""
        return tuple(number for number, digit in enumerate(self.digits, 1) if digit)

    def within(self, largest: int) -> "Octal":
        """The same for rows of at most `largest`: what cannot be taken from them is left out."""
        return Octal(self.digits[:largest])

    def conditions(self, left: Sequence[str]) -> list[str]:
        """For each number that may not leave everything a sentence; `left` says in words what 0, 1, ... rows are."""
        sentences = []
        for number, digit in enumerate(self.digits, 1):
            words = [said for rows, said in enumerate(left) if digit >> rows & 1]
            if words and len(words) < len(left):
                sentences.append(f"Taking {number} is allowed only where that leaves {listed(words)}.")
        return sentences


def any_number(most: int) -> Octal:
    """From 1 to `most` may be taken, and a row is never split."""
    return Octal([UNSPLIT] * most)


def these_numbers(numbers: Iterable[int]) -> Octal:
    """Just these numbers may be taken, and a row is never split."""
    wanted = set(numbers)
    return Octal(UNSPLIT if number in wanted else 0 for number in range(1, max(wanted, default=0) + 1))


def read_octal(text: str) -> Octal:
    """The code that a text such as ``0.77`` writes.  Raises ValueError, with the reason in words."""
    found = _CODE.fullmatch(text)
    if not found:
        raise ValueError(f"'{text}' is no octal code; expected '0.' and digits from 0 to 7, such as 0.77")
    return Octal(int(digit) for digit in found[1])
