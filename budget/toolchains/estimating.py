"""An estimate of what a compiler makes of a form, from our own program of it, to stand beside the compiler's figure.

Tables and messages are known to the byte.  The start and the shims are what a program takes that only hands on what is
typed.  For the rest each order of our own program counts as so many bytes; how many is *calibrated*: a program of the
same form for another seat is compiled once, by the compiler at hand.
"""

from fractions import Fraction
from typing import NamedTuple

from budget.c90.program import written
from budget.card import CostCard, load_machine
from budget.forms import Form, lowered_as
from budget.lowering.choices import Choices
from budget.toolchains.making import Made, toolchain_of
from budget.toolchains.toolchain import Toolchain
from solver.fixed import FixedPlay

IN_ORDERS = "flash-8k"
"""The machine for which our own program is written."""
NOTHING = """#include "target.h"

int main(void)
{
    for (;;)
        put_char(get_char());
}
"""


class Rate(NamedTuple):
    """What a compiler takes: bare: bytes of the start and the shims; an_order: bytes to an order of ours."""

    bare: int
    an_order: Fraction

    def of(self, made: Made, orders: int) -> int:
        """The bytes of a program's image, its tables and messages as they are, when ours has so many orders."""
        tables, messages, _ = made.program.bytes
        return self.bare + tables + messages + round(self.an_order * orders)


def orders_of(play: FixedPlay, form: str) -> int:
    """How many orders our own program of a form has.  Raises NotLowered where there is none."""
    return lowered_as(Form(form, "", play), load_machine(IN_ORDERS)).words.program


def calibrated(play: FixedPlay, form: str, card: CostCard, picked: dict[str, str]) -> Rate:
    """The rate of a form, found by compiling the program of a play in one wording.

    Raises NotLowered where there is no such program.
    """
    toolchain = toolchain_of(card)
    bare = bare_bytes(toolchain)
    program = written(play, form, card, Choices(dict(picked)))
    tables, messages, _ = program.bytes
    rest = toolchain.link(program.text).loaded - bare - tables - messages
    return Rate(bare, Fraction(rest, orders_of(play, form)))


def bare_bytes(toolchain: Toolchain) -> int:
    """The bytes of a program that only hands on what is typed."""
    return toolchain.link(NOTHING).loaded
