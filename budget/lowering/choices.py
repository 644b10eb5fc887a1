"""Several ways to write a part of a program, and the search for those that together take the fewest words.

A part asks `pick` where it could be written in more than one way.  The search begins with the first way of each, and
then changes one choice at a time as long as that saves words.  Where a choice changes what others there are, and so
is *weighty*, it begins anew from each of its ways.
"""

from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from typing import TypeVar

from budget.lowering.text import NotLowered, WrongWay

T = TypeVar("T")


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


def smallest(build: Callable[[Choices], T], cost: Callable[[T], int]) -> T:
    """What `build` gives with the choices that cost least, changed one at a time from each beginning.

    Raises NotLowered where there is no program with the first ways of all other parts, nor with another way of one.
    """
    found: list[T] = []
    reasons: list[NotLowered] = []
    for begin in _beginnings(build):
        try:
            found.append(_descended(build, cost, begin))
        except NotLowered as reason:
            reasons.append(reason)
    if not found:
        raise _of_substance(reasons)
    return min(found, key=cost)


def _beginnings(build: Callable[[Choices], T]) -> Iterator[dict[str, str]]:
    """All ways of all weighty choices together."""
    waiting: list[dict[str, str]] = [{}]
    while waiting:
        begin = waiting.pop(0)
        choices = Choices(begin)
        with suppress(NotLowered):
            build(choices)
        undecided = sorted(choices.weighty - set(begin))
        if undecided:
            name = undecided[0]
            waiting.extend({**begin, name: way} for way in choices.offered[name])
        else:
            yield begin


def _descended(build: Callable[[Choices], T], cost: Callable[[T], int], begin: dict[str, str]) -> T:
    """The least that is found from one beginning."""
    best, chosen, offered = _first(build, begin)
    improved = True
    while improved:
        improved = False
        for name, ways in offered.items():
            for way in ways if name not in begin else ():
                if way == chosen.get(name, ways[0]):
                    continue
                choices = Choices({**chosen, name: way})
                try:
                    found = build(choices)
                except NotLowered:
                    continue
                if cost(found) < cost(best):
                    best, chosen, improved = found, choices.picked, True
        offered = _offered(build, chosen)
    return best


def _first(
    build: Callable[[Choices], T], begin: dict[str, str]
) -> tuple[T, dict[str, str], dict[str, tuple[str, ...]]]:
    """What the first ways give; where there is no such program, with the first other way of one part that does."""
    choices, reasons = Choices(begin), list[NotLowered]()
    try:
        return build(choices), begin, choices.offered
    except NotLowered as reason:
        reasons.append(reason)
    for name, ways in choices.offered.items():
        for way in ways[1:] if name not in begin else ():
            other = Choices({**begin, name: way})
            try:
                return build(other), other.picked, other.offered
            except NotLowered as reason:
                reasons.append(reason)
    raise _of_substance(reasons)


def _of_substance(reasons: Sequence[NotLowered]) -> NotLowered:
    """The first reason that is not that two ways do not go together."""
    return next((reason for reason in reasons if not isinstance(reason, WrongWay)), reasons[0])


def _offered(build: Callable[[Choices], T], chosen: dict[str, str]) -> dict[str, tuple[str, ...]]:
    choices = Choices(chosen)
    build(choices)
    return choices.offered
