"""The listing of a program: every word with its address, what asked for it, and a sum that shows slips of the pen.

The sum of a row is its address, and each word times its place in the row (1, 2, ...), modulo 997.  Since that is a
prime, one wrong digit always changes it; so do two words that have changed places, in a row or between rows, unless
they differ by a multiple of 997.
"""

from collections.abc import Iterator, Sequence
from typing import Any, NamedTuple

from budget.machine.program import CONSTANT, DATA, INSTRUCTION, SPACE, Program

PRIME = 997
ROOM = 14
"""Columns for the words of a row."""


class Row(NamedTuple):
    """One row of a listing.

    address: of its first word; half: 2 for an instruction in the upper half of a word that the row before has
    shown, else 1; words: none where they are left as they were; left: how many those are; sum: as above, None without
    words; line: the line of the source, 0 for none; text: what it says, only in the first row of each.
    """

    address: int
    half: int
    words: tuple[int, ...]
    left: int
    sum: int | None
    line: int
    kind: str
    text: str


def rows_of(program: Program) -> Iterator[Row]:
    """The rows of a program's listing, in the order of the store."""
    per_word = program.card.program.layout.places_a_word
    most = words_a_row(program)
    for line in program.lines:
        address, half = divmod(line.place, per_word)
        if line.kind == SPACE:
            left = line.length // per_word
            yield Row(address, 1, (), left, None, line.number, line.kind, line.text)
            continue
        if half:
            yield Row(address, 2, (), 0, None, line.number, line.kind, line.text)
            continue
        words = [program.image[each] for each in program.addresses(line)]
        for begin in range(0, len(words), most):
            part = tuple(words[begin : begin + most])
            text = line.text if begin == 0 else ""
            yield Row(
                address + begin, 1, part, 0, row_sum(address + begin, part), line.number, line.kind, text
            )


def row_sum(address: int, words: Sequence[int]) -> int:
    """The sum of some words that follow one another from an address on: 0 to 996.

    >>> row_sum(8, [5, 1]), row_sum(8, [1, 5])
    (15, 19)
    """
    return (address + sum(place * word for place, word in enumerate(words, 1))) % PRIME


def words_a_row(program: Program) -> int:
    """How many words a row of the listing shows."""
    return max(1, ROOM // (word_digits(program) + 1))


def word_digits(program: Program) -> int:
    """How many digits a word takes in the machine's base."""
    return len(in_base((1 << program.card.word_bits) - 1, program.card.program.base))


def address_digits(program: Program) -> int:
    """How many digits an address takes in the machine's base."""
    return len(in_base(program.card.store_words - 1, program.card.program.base))


def in_base(number: int, base: int, digits: int = 1) -> str:
    """A number that is not negative, in base 2, 8, 10 or 16, with zeros in front.

    >>> in_base(10, 2, 6), in_base(255, 16)
    ('001010', 'FF')
    """
    return format(number, {2: "b", 8: "o", 10: "d", 16: "X"}[base]).zfill(digits)


def as_json(program: Program) -> dict[str, Any]:
    """A program and its listing as plain lists and dictionaries."""
    return {
        "machine": program.card.name,
        "base": program.card.program.base,
        "start": program.start,
        "words": word_counts(program),
        "labels": program.labels,
        "rows": [{**row._asdict(), "words": list(row.words)} for row in rows_of(program)],
    }


def word_counts(program: Program) -> dict[str, int]:
    """How many words a program takes: in all, and of each kind.

    A word that holds an instruction and something else counts for both, so that the kinds may be more than all.
    """
    kinds = {"instructions": INSTRUCTION, "constants": CONSTANT, "data": DATA, "space": SPACE}
    return {"total": program.words(), **{name: program.words(kind) for name, kind in kinds.items()}}
