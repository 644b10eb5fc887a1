"""The search for the fewest answers of some choices: good strategies first, then the proof that none is better.

A good one is looked for near what relaxations take; then it is proved in exact arithmetic that none is better
(`solver.least.bound`).  Where that does not end soon, better ones are looked for near the best (`solver.least.nearby`),
and at last HiGHS looks for one by its own means.
"""

import math
from collections.abc import Iterator, Sequence
from functools import partial
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import Flags, Indices, distinct
from solver.least.alike import symmetries_of
from solver.least.bound import Certificate, Prover
from solver.least.choices import Choices
from solver.least.clock import Clock
from solver.least.front import front_bound
from solver.least.highs import minimise
from solver.least.model import Model, Whole, model_of
from solver.least.nearby import Nearby
from solver.least.start import Start
from solver.least.stopped import NotFound

SEARCHING, PROVING = "searching", "proving"
SHARE_OF_START, SHARE_OF_FIRST_PROOF, SHARE_OF_NEARBY, SHARE_OF_SECOND_PROOF, SHARE_OF_SEARCH = (
    0.1,
    0.4,
    0.6,
    0.85,
    0.93,
)
"""Of the time given, the parts after which these end at the latest: looking for a good strategy to begin with, a first
proof that none is better, the search near the best, a second proof, and the search of HiGHS; what is left is for the
proof of what that has found."""
TINY = 1e-6


class Best(NamedTuple):
    """The picks made (p,) in the best point found, what the search says of the bound, and what was proved of it."""

    made: Flags
    bound: int
    exact: int
    parts: int


class Search:
    """Finds a good point of a model, proves that none is better, and has HiGHS look for a better one in between."""

    def __init__(self, choices: Choices, loops: Sequence[Sequence[int]], clock: Clock) -> None:
        self.clock = clock
        self.choices = choices
        self.model = model_of(choices, loops)
        self.symmetries = [] if loops else symmetries_of(choices, self.model)
        self.parts = list(_apart_by_first_pick(choices, self.model))
        self.starts = (
            [Start(choices, _allowed(part)) for part in self.parts]
            if Start.serves(choices) and not loops
            else []
        )
        self.provers: list[Prover] = []
        self.certificates: list[Certificate] = []
        self.point: Whole | None = None
        self.cost: int | None = None

    def run(self) -> Best:
        """Search and prove; raises NotFound if there was no time to find anything."""
        self._begin()
        self._prove(SHARE_OF_FIRST_PROOF)
        if self.starts and not self._complete():
            self._look_nearby(SHARE_OF_NEARBY)
            self._prove(SHARE_OF_SECOND_PROOF)
        floor: float = self._exact()
        if not self._complete():
            floor = max(floor, self._look(SHARE_OF_SEARCH))
            self._prove(1.0)
        if self.point is None or self.cost is None:
            raise NotFound(math.ceil(floor - TINY))
        bound = min(math.ceil(floor - TINY), self.cost)
        exact = min(self._exact(), self.cost)
        if not self._complete():  # perhaps no relaxation of all has come to an end
            exact = max(exact, front_bound(self.choices, self.cost, lambda: 0.0, lambda _: False))
        return Best(
            self.point[self.model.pick] > 0,
            max(bound, exact),
            exact,
            sum(each.parts for each in self.certificates),
        )

    def _begin(self) -> None:
        """Find good strategies: as if nothing were shared, and then near what the relaxation takes."""
        for number, (part, start) in enumerate(zip(self.parts, self.starts, strict=False)):
            until = SHARE_OF_START * (number + 1) / len(self.parts)
            self._take_picks(part, start.run(self.clock.left(until / 2)))
        for number, (part, prover) in enumerate(zip(self.parts, self._made_provers(), strict=False)):
            until = SHARE_OF_START * (number + 1) / len(self.parts)
            if self.starts and self.clock.left(until) > 0:
                relaxed = prover.point()[part.pick]
                self._take_picks(part, self.starts[number].run(self.clock.left(until), relaxed))

    def _made_provers(self) -> list[Prover]:
        """A prover for each part, as soon as there is a figure to prove."""
        if not self.provers and self.cost is not None:
            for number, part in enumerate(self.parts):
                hear = partial(self._hear, number)
                self.provers.append(Prover(part, self.cost, hear, self.symmetries, self.clock.left))
        return self.provers

    def _hear(self, number: int, relaxed: npt.NDArray[np.float64]) -> int:
        """Whether what a relaxation takes in a part leads to something better; the fewest answers so far."""
        if self.starts:
            part = self.parts[number]
            self._take_picks(part, self.starts[number].near(relaxed[part.pick]))
        assert self.cost is not None
        return self.cost

    def _look_nearby(self, share: float) -> None:
        """Look for something better near the best that is known; it could go on for ever, so only where time is set."""
        if self.point is None:
            return
        number = next(number for number, part in enumerate(self.parts) if part.allows(self.point))
        part, start = self.parts[number], self.starts[number]
        picks = start.near(self.point[part.pick].astype(np.float64))
        if picks is None:
            return
        nearby = Nearby(start, picks)
        while 0 < self.clock.left(share) < math.inf and self.clock.tell(SEARCHING, self.cost, self._exact()):
            self._take_picks(part, nearby.step(self.clock.left(share)))

    def _look(self, share: float) -> float:
        """Have HiGHS look for something better in every part; the bound that it answers for."""
        bounds = []
        for number, part in enumerate(self.parts):
            left = self.clock.left(share)
            found = minimise(
                part,
                left / (len(self.parts) - number),
                progress=lambda best, bound: self.clock.tell(SEARCHING, self._better(best), bound),
            )
            self._take(part, found.point)
            bounds.append(found.bound)
        return max(0.0, min(bounds))

    def _take_picks(self, part: Model, picks: Indices | None) -> None:
        """Keep the point with these picks, if there are any and it is the best so far."""
        self._take(part, None if picks is None else part.point(picks))

    def _take(self, part: Model, point: Whole | None) -> None:
        """Keep a point if it is the best so far, and really one: nobody's word is taken for that."""
        if point is not None and part.allows(point):
            cost = int(part.cost @ point)
            if self.cost is None or cost < self.cost:
                self.point, self.cost = point, cost

    def _better(self, best: int | None) -> int | None:
        known = [cost for cost in (best, self.cost) if cost is not None]
        return min(known) if known else None

    def _prove(self, share: float) -> None:
        """Prove that nothing costs less than the best so far, in every part, as far as time goes."""
        provers = self._made_provers()
        self.certificates = []
        for number, prover in enumerate(provers):
            assert self.cost is not None
            prover.figure = min(prover.figure, self.cost)
            left = self.clock.left(share) / (len(provers) - number)
            self.certificates.append(prover.run(left, self._tell_of_proof))

    def _tell_of_proof(self, _: int, bound: int) -> bool:
        return self.clock.tell(PROVING, self.cost, bound)

    def _complete(self) -> bool:
        """Whether every part is proved."""
        return bool(self.certificates) and all(each.complete for each in self.certificates)

    def _exact(self) -> int:
        """What is proved so far of every part."""
        certain = self.model.at_any_rate()
        return max(certain, min((each.bound for each in self.certificates), default=certain))


def _allowed(part: Model) -> Flags:
    """Which picks (p,) may be made in a part."""
    allowed: Flags = part.upper[part.pick] > 0
    return allowed


def _apart_by_first_pick(choices: Choices, model: Model) -> Iterator[Model]:
    """The model divided by what the machine plays first, where that is one position: once for each kind of first move.

    First moves that symmetries of the first position carry into one another are of a kind: what holds for one holds
    for all.  On boards that count as one when they are alike such moves lead to the same boards already.
    """
    first = distinct(choices.board[choices.roots])
    if len(first) != 1 or len(choices.roots) != 1:
        yield model
        return
    picks = np.flatnonzero(choices.pick_board == first[0])
    for pick in _one_of_a_kind(choices, picks):
        lower, upper = model.lower.copy(), model.upper.copy()
        upper[model.pick[picks]] = 0
        lower[model.pick[pick]] = upper[model.pick[pick]] = 1
        yield model._replace(lower=lower, upper=upper)


def _one_of_a_kind(choices: Choices, picks: Indices) -> list[int]:
    """Of the picks of the first position one for each kind, the first."""
    game = choices.game
    moves = choices.pick_move[picks]
    least = moves.astype(np.intp)
    at = choices.states[choices.roots[:1]]
    for symmetry in range(1, game.symmetries):
        if game.turned(symmetry, at)[0] == at[0]:
            least = np.minimum(least, game.turned_move(symmetry, moves).astype(np.intp))
    present = set(moves.tolist())
    return [
        int(pick)
        for pick, move, kind in zip(picks, moves, least, strict=True)
        if move == kind or kind not in present
    ]
