"""The part of a cost card that concerns programs: how instructions lie in words, and how long everything takes."""

import re
from fractions import Fraction
from math import gcd
from typing import NamedTuple

from budget.machine.layout import (
    FULL_ADDRESSES,
    LEAST_FIELD,
    ONE_WORD,
    PAGE_ADDRESSES,
    SHAPES,
    TWO_A_WORD,
    WORDS,
    Layout,
    Sizes,
)
from budget.machine.orders import ORDER_BITS, ORDERS
from budget.machine.pace import Pace, Turning
from games.problems import listed
from games.tomlfile import Table

MOST_LINKS = 64
USUAL_LINKS = 4
MOST_CYCLES = 1 << 16
MOST_TURN = 1 << 16
"""Words that pass in a turn of the store."""
BASES = (2, 8, 10, 16)
UNITS = {"s": 0, "ms": 3, "us": 6, "ns": 9}
"""Units of time, and how many decimal places each stands behind the second."""
_PART = r"[1-9]\d{0,3}/[1-9]\d{0,3}"
_NUMBER = rf"(?P<number>\d{{1,9}}(?:\.\d{{1,9}})?)(?: (?P<part>{_PART}))?|(?P<only>{_PART})"


class ProgramPart(NamedTuple):
    """What a card says about programs.

    layout: how instructions lie in words; links: how many calls can be open; base: in which words are written; pace:
    how long instructions take, None where the card does not say; reading, printing: characters a second, or None.
    """

    layout: Layout
    links: int
    base: int
    pace: Pace | None
    reading: Fraction | None
    printing: Fraction | None


def read_program_part(card: Table, word_bits: int, store_words: int) -> ProgramPart:
    """The tables [instructions], [time], [input] and [output] of a card, each of which may be left out."""
    table = card.table("instructions")
    layout = _read_layout(table, word_bits, store_words)
    links = table.whole("links", default=USUAL_LINKS, least=1, most=MOST_LINKS)
    base = table.whole("base", default=8 if word_bits % 3 == 0 else 16, least=2, most=16)
    if base not in BASES:
        table.wrong("base", f"'base' should be {listed([str(each) for each in BASES])}, not {base}")
    table.finish()
    timed = _section(card, "time")
    pace = _read_pace(timed) if timed else None
    return ProgramPart(layout, links, base, pace, _read_rate(card, "input"), _read_rate(card, "output"))


def _section(above: Table, key: str) -> Table | None:
    """A table that may be left out; None also where it is something else, which has been noted."""
    before = len(above.problems)
    table = above.table(key)
    return table if key in above and len(above.problems) == before else None


def _read_layout(table: Table, word_bits: int, store_words: int) -> Layout:
    roomy = word_bits - ORDER_BITS >= max(LEAST_FIELD, (store_words - 1).bit_length())
    shape = table.text("layout", default=ONE_WORD if roomy else WORDS, one_of=SHAPES)
    addresses = table.text("addresses", default=FULL_ADDRESSES, one_of=(FULL_ADDRESSES, PAGE_ADDRESSES))
    layout = Layout(Sizes(word_bits, store_words, shape, addresses))
    if table.problems:
        return layout  # what follows compares figures, which makes sense only where each is sound
    if layout.is_paged and shape != ONE_WORD:
        table.wrong("addresses", f'addresses = "{PAGE_ADDRESSES}" goes with layout = "{ONE_WORD}" only')
    elif shape != WORDS:
        _check_field(table, layout)
    return layout


def _check_field(table: Table, layout: Layout) -> None:
    """Check that an address, and the details of code 0, find room beside the order."""
    of_what = "half a word" if layout.shape == TWO_A_WORD else "a word"
    sizes = f"{of_what} of {layout.part_bits} bits leaves {max(layout.field_bits, 0)} beside the order"
    if layout.field_bits < LEAST_FIELD:
        table.wrong("layout", f'{sizes}, and at least {LEAST_FIELD} are needed; expected layout = "{WORDS}"')
    elif layout.is_paged and layout.word_bits < layout.place_bits:
        table.wrong("addresses", "a word cannot hold an address, so no word can lead to another page")
    elif not layout.is_paged and layout.field_bits < layout.place_bits:
        table.wrong(
            "layout",
            f'{sizes}, and an address takes {layout.place_bits}; expected layout = "{WORDS}"'
            + (f' or addresses = "{PAGE_ADDRESSES}"' if layout.shape == ONE_WORD else ""),
        )


def _read_pace(table: Table) -> Pace:
    cycle = _read_duration(table, "cycle")
    usual = table.whole("cycles", default=1, most=MOST_CYCLES)
    orders = table.table("orders")
    cycles = {order.name: orders.whole(order.name, default=usual, most=MOST_CYCLES) for order in ORDERS}
    orders.finish()
    turning = _section(table, "turning")
    table.finish()
    return Pace(cycle, cycles, _read_turning(turning) if turning else None)


def _read_turning(table: Table) -> Turning:
    words = table.whole("words", least=2, most=MOST_TURN)
    spacing = table.whole("spacing", default=1, least=1, most=MOST_TURN)
    if not table.problems and gcd(words, spacing) > 1:
        table.wrong(
            "spacing", f"'spacing' is {spacing} and a turn has {words} words, so some would have no place"
        )
    table.finish()
    return Turning(words, spacing)


def _read_duration(table: Table, key: str) -> Fraction:
    """A time in seconds, from a text such as ``1.5 ms``."""
    before = len(table.problems)
    text = table.text(key)
    number, _, unit = text.rpartition(" ")
    value = parse_number(number)
    if len(table.problems) > before:
        return Fraction(1)
    if unit not in UNITS or not value:
        table.wrong(
            key, f"'{key}' should be a time with its unit ({listed(tuple(UNITS))}), such as \"1.5 ms\""
        )
        return Fraction(1)
    return value / Fraction(10 ** UNITS[unit])


def _read_rate(card: Table, key: str) -> Fraction | None:
    """Characters a second of a channel; None where the card does not say."""
    table = _section(card, key)
    if table is None:
        return None
    before = len(table.problems)
    text = table.text("per-second")
    value = parse_number(text)
    if not value and len(table.problems) == before:
        table.wrong("per-second", '\'per-second\' should be a number of characters, such as "10" or "6 2/3"')
    table.finish()
    return value or Fraction(1)


def parse_number(text: str) -> Fraction:
    """An exact number from a text such as ``10``, ``1.5``, ``6 2/3`` or ``1/3``; 0 for any other.

    >>> parse_number("6 2/3")
    Fraction(20, 3)
    """
    found = re.fullmatch(_NUMBER, text)
    if not found:
        return Fraction(0)
    return Fraction(found["only"] or found["number"]) + Fraction(found["part"] or 0)
