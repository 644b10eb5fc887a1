"""Which of two waits is the shorter one for somebody who waits: what differs by less than anybody notices is alike."""

import math
from decimal import ROUND_DOWN, Decimal

DIGITS = 2
"""Waits that begin with so many digits alike are alike.

Being alike is then handed on: whatever is like something that is like a third is like that, too, so that it does not
matter which ways are built first.  If all waits near each other were alike, a row of neighbours would lead far away.
"""


def to_be_quicker(wait: float, within: float | None = None) -> float:
    """What a wait has to stay below to be shorter than this one, in the same unit.

    within: where only what takes no longer is of use, waits of up to as much are shorter than any beyond it.
    """
    told = Decimal(
        repr(float(wait))
    )  # as it reads: 2.9, and not the sum of halves, quarters ... that is kept for it
    last = Decimal(1).scaleb(told.adjusted() - DIGITS + 1)
    least_alike = float(told.quantize(last, rounding=ROUND_DOWN))
    if within is None or wait <= within:
        return least_alike
    return max(least_alike, math.nextafter(within, math.inf))
