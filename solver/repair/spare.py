"""Which rules of a strategy can go, all together, without harm to its claim: the fewest that have to stay.

Taking a rule away lets others answer in its place, so what holds for one set of rules says nothing of another, and all
smaller sets are gone through.  Each is followed over the boards that can come while nothing is given away, where it is
known of every rule what comes after its moves; the one that is taken is proved anew.
"""

import math
import time
from collections.abc import Callable, Iterator, Sequence
from itertools import combinations
from typing import NamedTuple

from games.housed import HousedGame
from solver.least.pictures_boards import set_of
from solver.proof import PROVED, Proof, prove
from solver.repair.course import losing_line
from solver.repair.overruled import every_choice, kept
from solver.strategy import NO_RULE, Strategy

SETS_A_LOOK = 200
"""After how many sets the time is looked at."""


class Spared(NamedTuple):
    """The rules that stay, by their numbers among all, and the proof of the claim for just these.

    complete: whether every smaller set was gone through in vain; sets: how many were.
    """

    stay: tuple[int, ...]
    proof: Proof
    complete: bool
    sets: int


def spared(
    proof: Proof,
    *,
    always: int = 0,
    seconds: float = math.inf,
    goes_on: Callable[[], bool] = lambda: True,
) -> Spared:
    """The smallest set of a proved strategy's rules, in their order, for which its claim holds too.

    always: so many rules in front stay in any case.  `goes_on` may end the search by False; then, and when time is
    out, the smallest set found so far is given.
    """
    if proof.verdict != PROVED:
        raise ValueError(f"the claim of {proof.walk.strategy.name} does not hold with all its rules")
    end = time.monotonic() + seconds
    sets = _Sets(proof, always)
    best = Spared(tuple(range(len(proof.walk.strategy.rules))), proof, complete=True, sets=0)
    for rule in reversed(best.stay[always:]):
        best = sets.proved(tuple(each for each in best.stay if each != rule)) or best
    for number, rules in enumerate(sets.smaller_than(len(best.stay))):
        if number % SETS_A_LOOK == 0 and (time.monotonic() > end or not goes_on()):
            return best._replace(complete=False, sets=sets.tried)
        found = sets.proved(rules)
        if found is not None:
            return found
    return best._replace(sets=sets.tried)


class _Sets:
    """The sets of rules of one proved strategy; tried: how many have been."""

    def __init__(self, proof: Proof, always: int) -> None:
        self._proof = proof
        self._always = tuple(range(always))
        self.tried = 0
        strategy = proof.walk.strategy
        game = HousedGame(strategy.game, proof.house, strategy.seat)
        alone = [only(strategy, [rule]) for rule in range(len(strategy.rules))]
        every = every_choice(game, proof.claim, alone)
        self._roots = set_of(every.roots.tolist())
        self._keeps = [kept(every, each) for each in alone]
        self._applies = [(each.answers(every.boards).rule != NO_RULE)[every.board].tolist() for each in alone]

    def smaller_than(self, size: int) -> Iterator[tuple[int, ...]]:
        """All sets with fewer rules, the smallest first."""
        others = range(len(self._always), len(self._keeps))
        return (
            self._always + rest
            for count in range(size - len(self._always))
            for rest in combinations(others, count)
        )

    def proved(self, rules: tuple[int, ...]) -> Spared | None:
        """A set with its proof, if the claim holds for it."""
        self.tried += 1

        def after(state: int) -> int | None:
            answering = next((rule for rule in rules if self._applies[rule][state]), None)
            return None if answering is None else self._keeps[answering][state]

        if losing_line(self._roots, after) is not None:
            return None
        proof = prove(only(self._proof.walk.strategy, rules), self._proof.claim, self._proof.house)
        return Spared(rules, proof, complete=True, sets=self.tried) if proof.verdict == PROVED else None


def only(strategy: Strategy, rules: Sequence[int]) -> Strategy:
    """Just these of its rules, in this order."""
    chosen = [strategy.rules[rule] for rule in rules]
    return Strategy(strategy.name, strategy.file, strategy.game, strategy.seat, chosen, strategy.choice)
