"""The orders of the one-address machine.  docs/programs.md says on one page exactly what each does.

The machine has an accumulator A, a modifier M and a carry, and counts places in P.  There is no index register:
`by` adds a word of the store to the address of the next instruction, and `look` adds A to its own, so any word
serves as an index and nothing has to be saved.  An order has four bits; those of code 0 have four more.
"""

from enum import IntEnum
from typing import NamedTuple

ORDER_BITS = 4
"""Bits of an order's code."""
DETAIL_BITS = 4
"""Bits that tell apart the orders of code 0."""
WITH_DETAIL = 0
"""The code that is followed by a detail."""


class Operand(IntEnum):
    """What stands after an order."""

    NONE = 0
    WORD = 1  # the address of a word of the store
    PLACE = 2  # the place of an instruction: a word, or half of one
    NUMBER = 3  # a number, two's complement
    AMOUNT = 4  # how many places to shift by, not negative


class Order(NamedTuple):
    """One order; `detail` tells those of code 0 apart and is 0 for all others; `means` is a line for people."""

    name: str
    code: int
    detail: int
    operand: Operand
    means: str


ORDERS = (
    Order("halt", 0, 0, Operand.NONE, "stop"),
    Order("back", 0, 1, Operand.NONE, "go on after the call"),
    Order("input", 0, 2, Operand.NONE, "A becomes the next character's code"),
    Order("output", 0, 3, Operand.NONE, "A goes out as a character's code"),
    Order("negate", 0, 4, Operand.NONE, "A becomes 0 - A"),
    Order("carry", 0, 5, Operand.NONE, "A becomes the carry, 0 or 1"),
    Order("high", 0, 6, Operand.NONE, "M moves up by a word's length"),
    Order("left", 0, 7, Operand.AMOUNT, "A moves up by so many bits"),
    Order("right", 0, 8, Operand.AMOUNT, "A moves down by so many bits"),
    Order("load", 1, 0, Operand.WORD, "A becomes the word"),
    Order("store", 2, 0, Operand.WORD, "the word becomes A"),
    Order("add", 3, 0, Operand.WORD, "the word is added to A"),
    Order("subtract", 4, 0, Operand.WORD, "the word is taken from A"),
    Order("and", 5, 0, Operand.WORD, "A keeps the bits that the word has too"),
    Order("look", 6, 0, Operand.WORD, "A becomes the word that stands A further on"),
    Order("by", 7, 0, Operand.WORD, "the word is added to the next instruction's operand"),
    Order("count", 8, 0, Operand.WORD, "1 is added to the word, and A becomes it"),
    Order("jump", 9, 0, Operand.PLACE, "go on there"),
    Order("ifzero", 10, 0, Operand.PLACE, "go on there if A is 0"),
    Order("ifnonzero", 11, 0, Operand.PLACE, "go on there if A is not 0"),
    Order("ifminus", 12, 0, Operand.PLACE, "go on there if A is below 0"),
    Order("call", 13, 0, Operand.PLACE, "go on there, and remember the place after this"),
    Order("set", 14, 0, Operand.NUMBER, "A becomes the number"),
    Order("plus", 15, 0, Operand.NUMBER, "the number is added to A"),
)
"""Every order, by code and detail."""
ORDER_NAMED = {order.name: order for order in ORDERS}
ORDER_CODED = {(order.code, order.detail): order for order in ORDERS}
