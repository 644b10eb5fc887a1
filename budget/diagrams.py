"""The search for a small decision diagram: tests of single digits that lead every board of a play to its answer.

A diagram is grown from the top.  Boards that come to a node together are parted by one digit, until all of them have
the same answer; but where an older node gives all of them what they need, they go there instead.  What a node would
do with a digit that none of its boards has is free.  Which digit is best is a guess, so several ways to guess are
tried, and the smallest diagram is kept.

Every guess is a whole number, exact on every computer: fractions would be rounded here in one way and there in
another, and the diagrams would differ.
"""

import random
from collections.abc import Callable, Mapping
from functools import cache
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Answers = npt.NDArray[np.int64]
Digits = npt.NDArray[np.int64]

NOWHERE = -1
"""Where a node leads with a digit that none of its boards has."""
TIMES = 3
"""How often a diagram is grown with some luck, for each way to guess."""
LUCK = 1024
"""A guess with luck is made up to a tenth larger, in so many steps."""
FEW_BOARDS = 300
"""Of more boards it is grown once for each way to guess."""


class Node(NamedTuple):
    """A test: the digit that is looked at, and where each of its values leads: ``~answer``, or the number of a node."""

    digit: int
    leads: Mapping[int, int]


class Placed(NamedTuple):
    """A diagram in one row of numbers: a node is the digit that it looks at, followed by where its values lead.

    Numbers from `leaf` on are answers, smaller ones places of nodes.  Nodes lie over one another where they are free.
    """

    root: int
    leaf: int
    bits: int
    numbers: Answers


def smallest_diagram(digits: Digits, answers: Answers, seed: int = 1) -> list[Node]:
    """The smallest diagram that was found, children before their parents; digits: (n, digits); answers: (n,)."""
    luck = random.Random(seed)  # noqa: S311 - nothing is kept secret
    times = TIMES if len(digits) <= FEW_BOARDS else 1
    grown = (
        _Growing(digits, answers, guess, luck if time else None) for guess in GUESSES for time in range(times)
    )
    return min((each.nodes() for each in grown), key=_cost)


def _cost(nodes: list[Node]) -> int:
    return sum(1 + len(node.leads) for node in nodes)


class _Growing:
    """One diagram."""

    def __init__(self, digits: Digits, answers: Answers, guess: "Guess", luck: random.Random | None) -> None:
        self._digits = digits
        self._answers = answers
        self._guess = guess
        self._luck = luck
        self._kinds = int(answers.max()) + 1
        self._bases = digits.max(axis=0) + 1
        self._nodes: list[Node] = []
        self._given: list[Answers] = []  # for each node what it gives every board

    def nodes(self) -> list[Node]:
        """All nodes, the root last."""
        self._grow(np.arange(len(self._answers)))
        return self._nodes

    def _grow(self, boards: npt.NDArray[np.intp]) -> int:
        """Where these boards go: an answer, an older node, or a new one."""
        answers = self._answers[boards]
        if (answers == answers[0]).all():
            return ~int(answers[0])
        for number in range(len(self._nodes) - 1, -1, -1):
            if np.array_equal(self._given[number][boards], answers):
                return number
        digit = self._best_digit(boards)
        values = self._digits[boards, digit]
        leads = {int(value): self._grow(boards[values == value]) for value in np.unique(values)}
        given = np.full(len(self._answers), NOWHERE)
        for value, to in leads.items():
            these = self._digits[:, digit] == value
            given[these] = ~to if to < 0 else self._given[to][these]
        self._nodes.append(Node(digit, leads))
        self._given.append(given)
        return len(self._nodes) - 1

    def _best_digit(self, boards: npt.NDArray[np.intp]) -> int:
        """The digit that parts these boards best, as far as one can guess."""
        worth = []
        for digit, base in enumerate(self._bases.tolist()):
            pairs = self._digits[boards, digit] * self._kinds + self._answers[boards]
            counts = np.bincount(pairs, minlength=base * self._kinds).reshape(base, self._kinds)
            if (counts.sum(axis=1) > 0).sum() > 1:
                luck = int(self._luck.random() * LUCK) if self._luck else 0
                worth.append((self._guess(counts) * (10 * LUCK + luck), digit))
        return min(worth)[1]


Guess = Callable[[npt.NDArray[np.int64]], int]
"""How much is left to do when boards are parted: from how many of each value have each answer, (values, answers)."""


def _by_entropy(counts: npt.NDArray[np.int64]) -> int:
    """The bits that are still needed to tell the answers, in units of 1/4096 bit."""
    totals = counts.sum(axis=1)
    logs = np.array([_log(count) for count in range(int(totals.max()) + 1)])
    return int((totals * logs[totals]).sum() - (counts * logs[counts]).sum())


@cache
def _log(count: int) -> int:
    """The logarithm of a count to base 2, in units of 1/4096, rounded down; 0 for 0, whose share of bits is 0."""
    return int(count**4096).bit_length() - 1 if count else 0


def _by_kinds(counts: npt.NDArray[np.int64]) -> int:
    """How many answers there are still to choose from, in all values together."""
    return int((counts > 0).sum())


def _by_squares(counts: npt.NDArray[np.int64]) -> int:
    """How many pairs of boards with different answers are still together."""
    return int((counts.sum(axis=1) ** 2 - (counts**2).sum(axis=1)).sum())


GUESSES: tuple[Guess, ...] = (_by_entropy, _by_kinds, _by_squares)


def placed(nodes: list[Node], answers: int) -> Placed:
    """A diagram laid out: each node at the first place where what it needs is free or the same already.

    answers: how many kinds of answers there are.
    """
    bits = 1
    while True:
        leaf = (1 << bits) - answers
        numbers = None if leaf <= 0 else _laid(nodes, leaf)
        if numbers is not None and len(numbers[1]) <= leaf and max(node.digit for node in nodes) < 1 << bits:
            return Placed(numbers[0], leaf, bits, numbers[1])
        bits += 1


def _laid(nodes: list[Node], leaf: int) -> tuple[int, Answers]:
    held: dict[int, int] = {}
    places: list[int] = []
    for node in nodes:
        needs = {0: node.digit}
        needs |= {1 + value: leaf + ~to if to < 0 else places[to] for value, to in node.leads.items()}
        place = 0
        while any(held.get(place + offset, number) != number for offset, number in needs.items()):
            place += 1
        held |= {place + offset: number for offset, number in needs.items()}
        places.append(place)
    numbers = np.zeros(max(held) + 1, dtype=np.int64)
    numbers[list(held)] = list(held.values())
    return places[-1], numbers
