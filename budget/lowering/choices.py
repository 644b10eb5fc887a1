"""Several ways to write a part of a program, and the search for those that together take the fewest words.

A part asks `pick` where it could be written in more than one way.  The search begins with the first way of each, and
then changes one choice at a time as long as that saves words.  Where a choice changes what others there are, and so
is *weighty*, it begins anew from each of its ways.
"""

from collections.abc import Callable, Iterator, Sequence
from typing import Generic, NamedTuple, TypeVar

from budget.lowering.text import NotLowered, WrongWay

T = TypeVar("T")
FAR_BEHIND = 1.3
"""From a beginning whose first ways cost so many times as much as another's it is not gone on."""


class Choices:
    """Ways picked so far, by the name of the choice; `offered` has what else each could have been."""

    def __init__(self, picked: dict[str, str] | None = None) -> None:
        self.picked = picked or {}
        self.offered: dict[str, tuple[str, ...]] = {}
        self.weighty: set[str] = set()

    def pick(self, name: str, ways: Sequence[str], *, is_weighty: bool = False) -> str:
        """One of several ways; the first unless the search says otherwise."""
        self.offered[name] = tuple(ways)
        if is_weighty:
            self.weighty.add(name)
        way = self.picked.get(name, ways[0])
        return way if way in ways else ways[0]


class _Try(NamedTuple, Generic[T]):
    """What came of some picks: `asked` has the way of every choice that was asked for, and nothing else mattered.

    found: a list of what was built, empty where nothing could be, for the `reason`.
    """

    asked: dict[str, str]
    offered: dict[str, tuple[str, ...]]
    weighty: frozenset[str]
    found: list[T]
    reason: NotLowered | None


class _Tries(Generic[T]):
    """Builds with picks, and remembers: the same answers to the same questions build the same."""

    def __init__(self, build: Callable[[Choices], T]) -> None:
        self._build = build
        self._known: list[_Try[T]] = []

    def of(self, picked: dict[str, str]) -> _Try[T]:
        """What comes of some picks."""
        known = next((each for each in self._known if _answers(picked, each)), None)
        if known is None:
            known = self._made(Choices(picked))
            self._known.append(known)
        return known

    def _made(self, choices: Choices) -> _Try[T]:
        found: list[T] = []
        reason: NotLowered | None = None
        try:
            found = [self._build(choices)]
        except NotLowered as refusal:
            reason = refusal
        asked = {name: choices.pick(name, ways) for name, ways in choices.offered.items()}
        return _Try(asked, dict(choices.offered), frozenset(choices.weighty), found, reason)


def _answers(picked: dict[str, str], known: _Try[T]) -> bool:
    """Whether picks give every answer that was given before."""
    return all(Choices(picked).pick(name, known.offered[name]) == way for name, way in known.asked.items())


class Search(Generic[T]):
    """The search for what `build` gives with the choices that cost least; what has been built is remembered.

    Each way raises NotLowered where there is no program with the first ways of all other parts, nor with another way
    of one.
    """

    def __init__(self, build: Callable[[Choices], T], cost: Callable[[T], int]) -> None:
        self._tries = _Tries(build)
        self._cost = cost

    def roughly(self) -> T:
        """The least with the first ways from each beginning: soon known, and not much more than the least."""
        return min((found for _, found in self._begun()), key=self._cost)

    def least(self) -> T:
        """The least with choices changed one at a time, from each beginning that is not far behind another."""
        begun = self._begun()
        most = min(self._cost(found) for _, found in begun) * FAR_BEHIND
        near = [begin for begin, found in begun if self._cost(found) <= most]
        return min((_descended(self._tries, self._cost, begin) for begin in near), key=self._cost)

    def _begun(self) -> list[tuple[dict[str, str], T]]:
        """Each beginning, with what its first ways give."""
        begun: list[tuple[dict[str, str], T]] = []
        reasons: list[NotLowered] = []
        for begin in _beginnings(self._tries):
            try:
                begun.append((begin, _first(self._tries, begin)[0]))
            except NotLowered as reason:
                reasons.append(reason)
        if not begun:
            raise _of_substance(reasons)
        return begun


def _beginnings(tries: _Tries[T]) -> Iterator[dict[str, str]]:
    """All ways of all weighty choices together."""
    waiting: list[dict[str, str]] = [{}]
    while waiting:
        begin = waiting.pop(0)
        tried = tries.of(begin)
        undecided = sorted(tried.weighty - set(begin))
        if undecided:
            name = undecided[0]
            waiting.extend({**begin, name: way} for way in tried.offered[name])
        else:
            yield begin


def _descended(tries: _Tries[T], cost: Callable[[T], int], begin: dict[str, str]) -> T:
    """The least that is found from one beginning."""
    best, chosen = _first(tries, begin)
    improved = True
    while improved:
        improved = False
        for name, ways in tries.of(chosen).offered.items():
            for way in ways if name not in begin else ():
                picked = {**chosen, name: way}
                for found in tries.of(picked).found:
                    if cost(found) < cost(best):
                        best, chosen, improved = found, picked, True
    return best


def _first(tries: _Tries[T], begin: dict[str, str]) -> tuple[T, dict[str, str]]:
    """What the first ways give; where there is no such program, with the first other way of one part that does."""
    reasons: list[NotLowered] = []
    others = [
        {**begin, name: way}
        for name, ways in tries.of(begin).offered.items()
        for way in (ways[1:] if name not in begin else ())
    ]
    for picked in (begin, *others):
        tried = tries.of(picked)
        if tried.reason is None:
            return tried.found[0], picked
        reasons.append(tried.reason)
    raise _of_substance(reasons)


def _of_substance(reasons: Sequence[NotLowered]) -> NotLowered:
    """The first reason that is not that two ways do not go together."""
    return next((reason for reason in reasons if not isinstance(reason, WrongWay)), reasons[0])
