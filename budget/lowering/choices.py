"""Several ways to write a part of a program, and the search for those that together take the fewest words.

A part asks `pick` where it could be written in more than one way.  The search begins with the first way of each, and
then changes one choice at a time as long as that saves words.
"""

from collections.abc import Callable, Sequence
from typing import TypeVar

from budget.lowering.text import NotLowered

T = TypeVar("T")


class Choices:
    """Ways picked so far, by the name of the choice; `offered` has what else each could have been."""

    def __init__(self, picked: dict[str, str] | None = None) -> None:
        self.picked = picked or {}
        self.offered: dict[str, tuple[str, ...]] = {}

    def pick(self, name: str, ways: Sequence[str]) -> str:
        """One of several ways; the first unless the search says otherwise."""
        self.offered[name] = tuple(ways)
        way = self.picked.get(name, ways[0])
        return way if way in ways else ways[0]


def smallest(build: Callable[[Choices], T], cost: Callable[[T], int]) -> T:
    """What `build` gives with the choices that cost least, changed one at a time.

    Raises NotLowered where the first ways of all parts do, and no other way of one part helps.
    """
    best, chosen, offered = _first(build)
    improved = True
    while improved:
        improved = False
        for name, ways in offered.items():
            for way in ways:
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


def _first(build: Callable[[Choices], T]) -> tuple[T, dict[str, str], dict[str, tuple[str, ...]]]:
    choices = Choices()
    try:
        return build(choices), {}, choices.offered
    except NotLowered:
        for name, ways in choices.offered.items():
            for way in ways[1:]:
                other = Choices({name: way})
                try:
                    return build(other), other.picked, other.offered
                except NotLowered:
                    continue
        raise


def _offered(build: Callable[[Choices], T], chosen: dict[str, str]) -> dict[str, tuple[str, ...]]:
    choices = Choices(chosen)
    build(choices)
    return choices.offered
