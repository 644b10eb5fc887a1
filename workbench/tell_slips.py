"""Slips of typing in plain sentences."""

from budget.images import slips as kinds
from budget.images.image import Notation
from budget.images.slips import Slip


def slip_text(slip: Slip, notation: Notation) -> str:
    """A slip in a sentence: where it is, what should stand there, and what has probably happened.

    >>> slip_text(Slip(kinds.WORD, 5, 24, 3, "4017", "4071", None, "two digits have changed places"),
    ...           Notation(8, 4, 8, 4))
    'line 5, row 0030: word 3 should be 4017, not 4071: two digits have changed places'
    """
    row = f"row {notation.address(slip.address)}"
    sentence = {
        kinds.ROW_MISSING: f"{row} is missing; expected {slip.should}",
        kinds.ROW_DOUBLED: f"{row} stands here once more",
        kinds.ROW_STRANGE: f"the image has no {row}; it should not be there",
        kinds.ROWS_CHANGED: f"{_both(slip, notation)} have changed places",
        kinds.ROW_MOVED: f"{row} does not stand where it should",
        kinds.ROWS_MIXED: f"{_both(slip, notation)} have each other's words",
        kinds.ADDRESS: f"the address should be {slip.should}, not {slip.stands}",
        kinds.START: f"the start should be {slip.should}, not {slip.stands}",
        kinds.FILE: "",
    }.get(slip.kind)
    if sentence is None:
        sentence = f"{row}: {_in_row(slip, notation)}"
        place = f"line {slip.line}, "
    else:
        place = f"line {slip.line}: " if slip.line else ""
    return place + ": ".join(part for part in (sentence, slip.remark) if part)


def _both(slip: Slip, notation: Notation) -> str:
    return f"rows {notation.address(slip.address)} and {notation.address(slip.other or 0)}"


def _in_row(slip: Slip, notation: Notation) -> str:
    """What is wrong within a row."""
    should, stands, word = slip.should, slip.stands, f"word {slip.word}"
    last = "" if slip.other is None else f", to row {notation.address(slip.other)}"
    return {
        kinds.WORD: f"{word} should be {should}, not {stands}",
        kinds.WORDS_CHANGED: f"words {slip.word} and {slip.other} have changed places; {should} comes first",
        kinds.WORD_MISSING: f"{word} is left out; expected {should}",
        kinds.WORD_EXTRA: f"{stands} is one word too many, as {word}",
        kinds.SHIFTED: f"the words are shifted from here{last or ' on'}",
        kinds.SUM: f"the words are right, and the sum should be {should}, not {stands}",
        kinds.CHECK_BYTE: f"the words are right, and the check byte should be {should}, not {stands}",
    }[slip.kind]
