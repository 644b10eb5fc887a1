"""Weights within bounds that keep the claim, or the certainty that there are none: everything is gone through.

A tree of cases.  Each case knows, for some states that are sure to come, which group is the heaviest there, as
inequalities between weights, and looks at one point that obeys them.  Played with these weights, either the claim is
kept, or some state comes in which a bad group is heaviest.  On the way there lies a first state for which nothing has
been decided yet: it comes for certain, so one of its good groups must be the heaviest, and the cases are these, each
with the groups tried before it lighter, so that no weights fall into two cases.  (Where two groups may weigh the same,
whether they do is a pair of cases of its own.)  A case ends when its inequalities are refuted in whole numbers.
"""

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import NamedTuple

import numpy as np

from games.codes import Flags, Indices, distinct
from solver.graph import reach
from solver.least.model import Whole
from solver.least.weights_groups import Groups
from solver.least.weights_linear import Relaxation, Rows

TOLERANCE = 1e-6
"""Weights as near as that may be the same in floating point."""
LARGEST_DENOMINATOR = 60
MOST_CONFLICTS = 100
"""So many bad states at most are looked at to find the decisions with the fewest cases."""
LOOKED_AT = 4
"""So many of these are tried out for the one that leaves the fewest cases unrefuted: on hard games four make the tree
seven times smaller and the search three times faster than one, and ten make it no faster."""
NO_GROUP = -1


class Found(NamedTuple):
    """What a search came to.

    weights: (t,) weights that keep the claim, None if none were found.  complete: whether it came to its end, so that
    without weights there are none.  parts: how many cases were refuted in whole numbers.
    """

    weights: Whole | None
    complete: bool
    parts: int


class _Case(NamedTuple):
    """A case that waits: how many inequalities of the case before it hold here too, and what is new.

    chosen: which group is the heaviest in each state decided so far; tied: further groups known to weigh as much.
    """

    kept: int
    rows: Rows
    lower: Whole
    upper: Whole
    chosen: Mapping[int, int]
    tied: frozenset[int]


class _Play(NamedTuple):
    """What comes when the heaviest groups are taken.

    before: (s,) the group before each state, -1 for roots and for states that do not come.  conflicts: the states that
    come and in which a bad group is among the heaviest.
    """

    before: Indices
    conflicts: Indices


class Tree:
    """Goes through all weights (t,) between two bounds, with a limit for the sum of absolute weights if one is given.

    bounds: None for no limits at all; then weights are only looked for up to scale, and found weights may be large.
    """

    def __init__(self, groups: Groups, bounds: tuple[Whole, Whole] | None, total: int | None = None) -> None:
        self._groups = groups
        self._terms = groups.vector.shape[1]
        self._bounds = bounds
        self._total = total
        most = None if bounds is None else int(np.abs(np.concatenate(bounds)).max(initial=0))
        self._relaxation = Relaxation(self._terms, most, total)
        self._good_count = np.bincount(groups.state[groups.good], minlength=len(groups.begin) - 1)

    def search(self, goes_on: Callable[[], bool] = lambda: True) -> Found:
        """Look until weights are found or all cases are done, as long as it goes on."""
        waiting = [self._root()]
        parts, complete = 0, True
        while waiting:
            if not goes_on():
                return Found(None, False, parts)
            case = waiting.pop()
            count = self._relaxation.move_to(case.kept, case.rows, case.lower, case.upper)
            point = self._relaxation.point()
            if point is None and self._relaxation.refuted():
                parts += 1
                continue
            whole = self._whole(point, case)
            if whole is not None:
                return Found(whole, True, parts)
            cases, refuted = self._divided(case, count, point)
            if not cases and not refuted:
                complete &= self._is_refuted_alone(case)
                refuted = 1
            parts += refuted
            waiting.extend(reversed(cases))
        return Found(None, complete, parts)

    def _root(self) -> _Case:
        nothing = np.zeros(self._terms, dtype=np.int64)
        lower, upper = self._bounds or (nothing, nothing)
        chosen, rows = self._forced({}, self._groups.roots.tolist())
        return _Case(0, rows, lower, upper, chosen, frozenset())

    # Points -----------------------------------------------------------------------------------------------

    def _whole(self, point: np.ndarray | None, case: _Case) -> Whole | None:
        """Whole weights near a point that keep the claim, tried and played in whole numbers."""
        if point is None:
            return None
        nearest: Whole = np.rint(point).astype(np.int64)
        if self._is_within(nearest, case) and not len(self._play(nearest, 0).conflicts):
            return nearest
        if self._bounds is None and not len(self._play(point, TOLERANCE).conflicts):
            for times in range(2, LARGEST_DENOMINATOR + 1):
                multiple: Whole = np.rint(point * times).astype(np.int64)
                if not len(self._play(multiple, 0).conflicts):
                    return multiple
        return None

    def _is_within(self, weights: Whole, case: _Case) -> bool:
        if self._bounds is None:
            return True
        fits = (weights >= case.lower).all() and (weights <= case.upper).all()
        return bool(fits and (self._total is None or np.abs(weights).sum() <= self._total))

    def _play(self, weights: np.ndarray, tolerance: float) -> _Play:
        """What comes with some weights; groups that differ by the tolerance at most count as the same."""
        groups = self._groups
        before = np.full(len(groups.begin) - 1, -1, dtype=np.intp)
        met = np.zeros(len(before), dtype=bool)
        heaviest, bad = self._heaviest(weights, tolerance)
        frontier = groups.roots
        while len(frontier):
            met[frontier] = True
            taken = reach(frontier[~bad[frontier]], groups.begin)
            taken = taken[heaviest[taken]]
            after = groups.follow[reach(taken, groups.first)]
            source = np.repeat(taken, groups.first[taken + 1] - groups.first[taken])
            new = ~met[after]
            before[after[new][::-1]] = source[new][::-1]
            frontier = distinct(after[new])
        return _Play(before, np.flatnonzero(met & bad))

    def _heaviest(self, weights: np.ndarray, tolerance: float) -> tuple[Flags, Flags]:
        """Which groups (g,) are among the heaviest of their state, and in which states (s,) a bad one is."""
        groups = self._groups
        if not len(groups.state):
            return np.zeros(0, dtype=bool), np.zeros(0, dtype=bool)
        heft = groups.vector @ weights
        top = np.maximum.reduceat(heft, groups.begin[:-1])
        heaviest = heft >= top[groups.state] - tolerance
        bad = np.logical_or.reduceat(heaviest & ~groups.good, groups.begin[:-1])
        return heaviest, bad

    # Cases ------------------------------------------------------------------------------------------------

    def _divided(self, case: _Case, count: int, point: np.ndarray | None) -> tuple[list[_Case], int]:
        """The cases into which a case falls, without those that are refuted at once, and how many these are.

        None at all where a state is sure to come that has no good group, or where nothing is left to divide.
        """
        if point is None:  # said to be empty, and not refuted: narrow it down
            return list(self._halves(case, count, None)), 0
        decisions = self._decisions(case, self._play(point, TOLERANCE))
        if not decisions:
            return list(self._halves(case, count, point)), 0
        best: tuple[list[_Case], int] | None = None
        for decision in decisions[:LOOKED_AT]:
            cases = list(self._by(decision, case, count, point))
            left = [each for each in cases if not self._is_refuted(each)]
            if best is None or len(left) < len(best[0]):
                best = left, len(cases) - len(left)
            if not left:
                break
        assert best is not None
        return best

    def _is_refuted(self, case: _Case) -> bool:
        self._relaxation.move_to(case.kept, case.rows, case.lower, case.upper)
        return self._relaxation.point() is None and self._relaxation.refuted()

    def _decisions(self, case: _Case, play: _Play) -> "list[_Decision]":
        """What could be decided first on the way to a bad state, the decisions with the fewest cases first."""
        conflicts = play.conflicts[:MOST_CONFLICTS].tolist()
        found = {self._first_open(case, play.before, conflict) for conflict in conflicts}
        return sorted(decision for decision in found if decision is not None)

    def _by(self, decision: "_Decision", case: _Case, count: int, point: np.ndarray) -> Iterator[_Case]:
        if decision.group == NO_GROUP:
            return self._by_heaviest(case, count, decision.state, point)
        return self._by_tie(case, count, decision.group)

    def _first_open(self, case: _Case, before: Indices, conflict: int) -> "_Decision | None":
        path = []
        group = int(before[conflict])
        while group >= 0:
            path.append(group)
            group = int(before[self._groups.state[group]])
        for group in reversed(path):
            state = int(self._groups.state[group])
            if state not in case.chosen:
                return _Decision(int(self._good_count[state]), state)
            if case.chosen[state] != group and group not in case.tied:
                return _Decision(2, state, group)
        return None if conflict in case.chosen else _Decision(int(self._good_count[conflict]), conflict)

    def _by_heaviest(self, case: _Case, count: int, state: int, point: np.ndarray) -> Iterator[_Case]:
        """A case for each good group of a state: it is the heaviest, and those tried before are lighter."""
        good = self._groups.good_of(state)
        heft = self._groups.vector[good] @ point
        order = [good[place] for place in np.argsort(-np.round(heft, 6), kind="stable")]
        for place, group in enumerate(order):
            chosen = {**case.chosen, state: group}
            chosen, forced = self._forced(chosen, self._groups.after(group))
            rows = _joined([self._heavier_than_others(state, group, order[:place]), forced])
            yield case._replace(kept=count, rows=rows, chosen=chosen)

    def _by_tie(self, case: _Case, count: int, group: int) -> Iterator[_Case]:
        """Two cases: a group is lighter than the heaviest one of its state, or weighs as much."""
        chosen = case.chosen[int(self._groups.state[group])]
        lighter = self._groups.vector[chosen] - self._groups.vector[group]
        yield case._replace(kept=count, rows=Rows(lighter[np.newaxis], np.array([1])))
        after, forced = self._forced(case.chosen, self._groups.after(group))
        rows = _joined([Rows(-lighter[np.newaxis], np.array([0])), forced])
        yield case._replace(kept=count, rows=rows, chosen=after, tied=case.tied | {group})

    def _forced(self, chosen: Mapping[int, int], states: Sequence[int]) -> tuple[dict[int, int], Rows]:
        """What follows where states that are sure to come have only one good group, and so on from there."""
        decided, rows = dict(chosen), [_no_rows(self._terms)]
        waiting = list(states)
        while waiting:
            state = waiting.pop()
            if state not in decided and self._good_count[state] == 1:
                [group] = self._groups.good_of(state)
                decided[state] = group
                rows.append(self._heavier_than_others(state, group, []))
                waiting.extend(self._groups.after(group))
        return decided, _joined(rows)

    def _heavier_than_others(self, state: int, group: int, lighter: Sequence[int]) -> Rows:
        """A group is heavier than the bad ones of its state and those said to be lighter, no lighter than the rest."""
        every = self._groups.of(state)
        others = every[every != group]
        strictly = ~self._groups.good[others] | np.isin(others, lighter)
        return Rows(self._groups.vector[group] - self._groups.vector[others], strictly.astype(np.int64))

    def _halves(self, case: _Case, count: int, point: np.ndarray | None) -> Iterator[_Case]:
        """Two cases by whether one weight is at most some number; none without limits or where no weight is open."""
        open_terms = np.flatnonzero(case.lower < case.upper)
        if self._bounds is None or not len(open_terms):
            return
        if point is None:
            term = int(open_terms[np.argmax((case.upper - case.lower)[open_terms])])
            middle = int(case.lower[term] + case.upper[term]) // 2
        else:
            off = np.abs(point - np.rint(point))[open_terms]
            term = int(open_terms[np.argmax(np.round(off, 6))])
            middle = min(max(math.floor(point[term]), int(case.lower[term])), int(case.upper[term]) - 1)
        lower, upper = case.lower.copy(), case.upper.copy()
        upper[term], lower[term] = middle, middle + 1
        nothing = _no_rows(self._terms)
        yield case._replace(kept=count, rows=nothing, upper=upper)
        yield case._replace(kept=count, rows=nothing, lower=lower)

    def _is_refuted_alone(self, case: _Case) -> bool:
        """Whether a case that cannot be divided holds no weights for certain: they would have to be these.

        Without limits it does so only if a state is sure to come that has no good group.
        """
        sure = {*self._groups.roots.tolist()}
        for group in (*case.chosen.values(), *case.tied):
            sure.update(self._groups.after(group))
        if any(self._good_count[state] == 0 for state in sure):
            return True
        if self._bounds is None or (case.lower < case.upper).any():
            return False
        is_too_much = self._total is not None and np.abs(case.lower).sum() > self._total
        return bool(is_too_much or len(self._play(case.lower, 0).conflicts))


class _Decision(NamedTuple):
    """What to decide, in how many cases: the heaviest group of a state, or whether `group` weighs as much as that."""

    cases: int
    state: int
    group: int = NO_GROUP


def _no_rows(terms: int) -> Rows:
    return Rows(np.zeros((0, terms), dtype=np.int64), np.zeros(0, dtype=np.int64))


def _joined(parts: Sequence[Rows]) -> Rows:
    return Rows(
        np.concatenate([part.matrix for part in parts]), np.concatenate([part.at_least for part in parts])
    )
