"""The smallest weights with which *take the heaviest cell* keeps a claim, whichever of the heaviest cells is taken.

Smallest means, in this order: the largest absolute weight is as small as can be; then the sum of absolute weights; then
the weights one by one in the order of the sheet, 0 before 1 before -1 before 2 and so on.  So there is only one answer.
That nothing smaller will do is proved by going through all that is smaller (`Tree`); where no weights will do however
large they are, that is proved as well.
"""

import math
from collections.abc import Callable, Sequence
from typing import NamedTuple

import numpy as np

from games.game import LineGame, with_lines
from games.housed import HousedGame
from solver.least.choices import choices_as_alike
from solver.least.clock import Clock
from solver.least.model import Whole
from solver.least.weights_groups import Groups, groups_of
from solver.least.weights_terms import APART, Term, terms_of, turn_alike
from solver.least.weights_tree import Found, Tree
from solver.proof import PROVED, prove
from solver.scores import SolvedScores
from solver.sheet.reader import SheetReader
from solver.sheet.weight_reader import MOST
from solver.solved import Solved
from solver.strategy import OPEN, Strategy

HEADING = "take the heaviest cell"
SHARE_FOR_ANY = 0.5
"""Of the time, for finding weights of any size, or the proof that there are none."""
Told = Callable[[int | None, int], bool]
"""Told the largest absolute weight of the best found so far (None before there is one), and up to which all were gone
through in vain; False asks for an end."""


class LeastWeights(NamedTuple):
    """The smallest weights found, and what was proved about them.

    terms, weights: what may weigh, and its weight in the same order; weights is None if none were found.
    strategy: what the claim was proved for: the rules that answer first, then the weights.
    none_at_all: there are no weights however large.  refuted_up_to: none of which no absolute weight is greater than
    this (-1 where nothing is known; not to be asked where there are none at all).
    total_is_least, order_is_least: the second and the third part of being smallest are proved too.
    parts: into how many cases all that is smaller fell, each refuted in whole numbers.
    """

    terms: tuple[Term, ...]
    weights: tuple[int, ...] | None
    strategy: Strategy | None
    none_at_all: bool
    refuted_up_to: int
    total_is_least: bool
    order_is_least: bool
    parts: int

    @property
    def largest(self) -> int | None:
        """The largest absolute weight found."""
        return None if self.weights is None else max(map(abs, self.weights), default=0)

    @property
    def total(self) -> int | None:
        """The sum of absolute weights found."""
        return None if self.weights is None else sum(map(abs, self.weights))

    @property
    def largest_is_least(self) -> bool:
        """Whether it is proved that the largest absolute weight cannot be smaller."""
        return self.largest is not None and self.refuted_up_to == self.largest - 1

    @property
    def proved_least(self) -> bool:
        """Whether nothing that is smaller in any way will do."""
        return self.largest_is_least and self.total_is_least and self.order_is_least

    @property
    def rule(self) -> str:
        """The lines of the rule, as a sheet has them; empty if no weights were found."""
        return "" if self.weights is None else "\n".join(rule_lines(self.terms, self.weights)) + "\n"


def rule_lines(terms: Sequence[Term], weights: Sequence[int]) -> list[str]:
    """The rule with these weights as it stands in a sheet; what weighs nothing is left out."""
    rows = [f"    {weight} for {term.words}" for term, weight in zip(terms, weights, strict=True) if weight]
    return [HEADING, *rows] if rows else ["take any free cell"]


def least_weights(
    game: HousedGame,
    claim: str,
    *,
    lines: str = APART,
    rules: Strategy | None = None,
    solved: Solved | SolvedScores | None = None,
    seconds: float = math.inf,
    told: Told = lambda best, bound: True,
) -> LeastWeights:
    """The smallest weights with which *take the heaviest cell* keeps `claim` in the machine's seat under house rules.

    lines: how lines are classed, see `weights_terms.CLASSES`.  rules: what answers before cells are weighed, with its
    choices open.  solved: the values of `game`, if known already.
    Raises solver.least.choices.Hopeless where nothing keeps the claim, ValueError where the game has no lines, and
    solver.graph.TooLarge where there are too many positions.
    """
    fair = with_lines(game.fair)
    if fair is None:
        raise ValueError("weights need a game of marks and lines")
    if rules is not None and rules.choice != OPEN:
        raise ValueError("the rules that answer first must leave their choices open")
    terms = terms_of(fair, lines)
    clock = Clock(seconds)
    choices = choices_as_alike(game, claim, turned=turn_alike(fair, terms), rules=rules, solved=solved)
    hunt = _Hunt(groups_of(choices, fair, terms), len(terms), clock, told)
    hunt.run()
    weights = None if hunt.best is None else tuple(hunt.best.tolist())
    strategy = None if weights is None else _proved(game, fair, claim, rules, rule_lines(terms, weights))
    return LeastWeights(
        terms,
        weights,
        strategy,
        hunt.none_at_all,
        hunt.refuted_up_to,
        hunt.total_is_least,
        hunt.order_is_least,
        hunt.parts,
    )


def _proved(
    game: HousedGame, fair: LineGame, claim: str, rules: Strategy | None, lines: Sequence[str]
) -> Strategy:
    """The strategy with the weights as a sheet has them, read from text and proved from scratch."""
    first = () if rules is None else rules.rules
    read = SheetReader("weights", lines, fair).read(0)
    strategy = Strategy("weights", "weights", game.fair, game.seat, [*first, *read])
    verdict = prove(strategy, claim, game.house).verdict
    if verdict != PROVED:
        raise RuntimeError(f"weights that should keep the claim do not: {verdict}")
    return strategy


class _Hunt:
    """Looks for the smallest weights step by step, and keeps what is known so far."""

    def __init__(self, groups: Groups, terms: int, clock: Clock, told: Told) -> None:
        self.groups = groups
        self.terms = terms
        self.best: Whole | None = None
        self.none_at_all = False
        self.refuted_up_to = -1
        self.total_is_least = self.order_is_least = False
        self.parts = 0
        self._clock, self._told = clock, told

    def run(self) -> None:
        """All steps, as far as time allows."""
        self._of_any_size()
        if self.none_at_all or not self._smallest_largest():
            return
        self.total_is_least = self._smallest_total()
        self.order_is_least = self.total_is_least and self._first_in_order()

    def _search(
        self, bounds: tuple[Whole, Whole] | None, total: int | None = None, share: float = 1
    ) -> Found:
        tree = Tree(self.groups, bounds, total)
        found = tree.search(
            lambda: self._clock.left(share) > 0 and self._told(self._largest(), self.refuted_up_to)
        )
        self.parts += found.parts
        if found.weights is not None and (bounds is not None or np.abs(found.weights).max(initial=0) <= MOST):
            self.best = found.weights
        return found

    def _largest(self) -> int | None:
        return None if self.best is None else int(np.abs(self.best).max(initial=0))

    def _of_any_size(self) -> None:
        found = self._search(None, share=SHARE_FOR_ANY)
        self.none_at_all = found.weights is None and found.complete

    def _smallest_largest(self) -> bool:
        """Go through the largest absolute weights from 0 on; whether it came to its end."""
        while self.refuted_up_to + 1 < (MOST + 1 if self.best is None else self._largest() or 0):
            found = self._search(self._within(self.refuted_up_to + 1))
            if found.weights is not None:
                return True
            if not found.complete:
                return False
            self.refuted_up_to += 1
        return self.best is not None

    def _within(self, most: int) -> tuple[Whole, Whole]:
        upper = np.full(self.terms, most, dtype=np.int64)
        return -upper, upper

    def _smallest_total(self) -> bool:
        """Lessen the sum of absolute weights until that fails; whether it came to its end."""
        assert self.best is not None
        bounds = self._within(self._largest() or 0)
        while total := int(np.abs(self.best).sum()):
            found = self._search(bounds, total - 1)
            if found.weights is None:
                return found.complete
        return True

    def _first_in_order(self) -> bool:
        """Settle the weights one by one at the first number that will do; whether it came to its end."""
        assert self.best is not None
        total = int(np.abs(self.best).sum())
        lower, upper = self._within(self._largest() or 0)
        for term in range(self.terms):
            for weight in _from_nought(int(self.best[term])):
                lower[term] = upper[term] = weight
                if weight != self.best[term]:
                    found = self._search((lower.copy(), upper.copy()), total)
                    if found.weights is None and not found.complete:
                        return False
                    if found.weights is not None:
                        break
        return True


def _from_nought(last: int) -> list[int]:
    """0, 1, -1, 2, -2 and so on up to a number."""
    order = [0, *(sign * size for size in range(1, abs(last) + 1) for sign in (1, -1))]
    return order[: order.index(last) + 1]
