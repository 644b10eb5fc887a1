"""The digits of boards, for tables that look at them one by one: the same in every program, whatever the machine."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from budget.boards import Numbered, numbered_answers
from budget.card import load_machine
from budget.lowering.choices import Choices
from budget.lowering.ground import Setting, ground_for
from budget.lowering.text import NotLowered, Text
from budget.packed import NotApplicable
from games.codes import Codes
from solver.fixed import FixedPlay

LONG_WORDS = "transistor-39"
"""A machine whose words hold any digit; which machine it is does not matter."""

Digits = npt.NDArray[np.uint64]
"""The digits of boards, (n, digits), the lowest first."""


class Digited(NamedTuple):
    """The boards that a table stores by their digits, with the move on each as `numbered` says it."""

    numbered: Numbered
    bases: tuple[int, ...]
    digits: Digits


def digited_answers(play: FixedPlay) -> Digited:
    """The answers of a play with the digits of their boards.  Raises NotApplicable where boards have none."""
    numbered = numbered_answers(play)
    if numbered.numbering:
        raise NotApplicable("who holds which cell does not tell the boards of this game apart")
    bases = bases_of(play)
    return Digited(numbered, bases, digits_of(numbered.numbers, bases))


def bases_of(play: FixedPlay) -> tuple[int, ...]:
    """The bases of the digits in which programs keep a game's boards.  Raises NotApplicable where there are none."""
    text = Text(load_machine(LONG_WORDS))
    setting = Setting(text, Choices(), play, frozenset())
    try:
        return tuple(digit.base for digit in ground_for(setting).digits())
    except NotLowered as reason:
        raise NotApplicable(str(reason)) from reason


def digits_of(numbers: Codes, bases: tuple[int, ...]) -> Digits:
    """Numbers cut into digits of these bases."""
    digits = np.zeros((len(numbers), len(bases)), dtype=np.uint64)
    rest = numbers
    for place, base in enumerate(bases):
        digits[:, place] = rest % np.uint64(base)
        rest = rest // np.uint64(base)
    return digits


def bases_in(constants: Mapping[str, int]) -> tuple[int, ...]:
    """The bases that a table's constants name, as `base_constants` gives them."""
    return tuple(constants[f"base {place}"] for place in range(constants["digits"]))


def base_constants(bases: tuple[int, ...]) -> dict[str, int]:
    """Bases as constants of a table."""
    return {"digits": len(bases), **{f"base {place}": base for place, base in enumerate(bases)}}
