"""The table by which lines are weighed, made short: what the marks count for, and where each kind of line begins in it.

A line comes to what its marks count for, and with where its kind begins that is a place in the table.  Which numbers
the marks count for is free, and contents that no line can have need no place; so numbers are looked for with which
contents that weigh alike, of one kind or of several, meet in few places.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

Held = tuple[int, int]
"""How many marks of the machine's and of the visitor's a line holds."""
MOST_COUNT = 5
"""A mark counts at most so much, with either sign."""
MOST_APART = 16
"""Places that two kinds of line begin apart at most."""


class Laid(NamedTuple):
    """A table, and how its places are reached.

    machine, visitor: what a mark of theirs counts for, not 0; begins: for each kind of line what is added to what it
    comes to; table: the weights.
    """

    machine: int
    visitor: int
    begins: tuple[int, ...]
    table: tuple[int, ...]


def shortest(
    kinds: Sequence[Mapping[Held, int]], counts: Sequence[tuple[int, int]] | None, *, by_shift: bool
) -> Laid | None:
    """The shortest table for kinds of lines, each with what its contents weigh; the first found of those as short.

    counts: what marks of the machine's and of the visitor's can count for, anything small if None; by_shift: the
    second of two kinds begins a power of two of places before the first.
    """
    best: Laid | None = None
    for machine, visitor in counts or _counts():
        apart = [_places(kind, machine, visitor) for kind in kinds]
        for laid in _together([each for each in apart if each is not None], by_shift=by_shift):
            if len(laid[1]) == len(kinds) and (best is None or len(laid[0]) < len(best.table)):
                best = Laid(machine, visitor, laid[1], laid[0])
    return best


def _counts() -> Iterator[tuple[int, int]]:
    """What marks can count for, small numbers first."""
    numbers = sorted(
        (number for number in range(-MOST_COUNT, MOST_COUNT + 1) if number), key=lambda n: (abs(n), -n)
    )
    pairs = [(machine, visitor) for machine in numbers for visitor in numbers]
    yield from sorted(pairs, key=lambda pair: (max(map(abs, pair)), pair[0] < 0, pair[1] < 0))


def _places(kind: Mapping[Held, int], machine: int, visitor: int) -> dict[int, int] | None:
    """The weight at each place of a kind's own; None where two contents that weigh differently meet."""
    places: dict[int, int] = {}
    for (mine, visitors), weight in kind.items():
        if places.setdefault(machine * mine + visitor * visitors, weight) != weight:
            return None
    return places


def _together(
    kinds: Sequence[Mapping[int, int]], *, by_shift: bool
) -> Iterator[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Tables that hold all kinds, each with where the kinds begin in it."""
    if not kinds:
        return
    if len(kinds) == 1:
        yield _laid(dict(kinds[0]), (0,))
        return
    if len(kinds) > 2:
        yield _one_after_another(kinds)
        return
    distances = (
        [1 << power for power in range(MOST_APART.bit_length())]
        if by_shift
        else range(-MOST_APART, MOST_APART + 1)
    )
    for distance in distances:
        joined = dict(kinds[0])
        moved = {place - distance: weight for place, weight in kinds[1].items()}
        if all(joined.setdefault(place, weight) == weight for place, weight in moved.items()):
            yield _laid(joined, (0, -distance))


def _one_after_another(kinds: Sequence[Mapping[int, int]]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Many kinds: each behind those before it."""
    joined: dict[int, int] = {}
    begins, free = [], 0
    for kind in kinds:
        begins.append(free - min(kind))
        joined |= {place + begins[-1]: weight for place, weight in kind.items()}
        free = max(joined) + 1
    return _laid(joined, tuple(begins))


def _laid(places: Mapping[int, int], begins: tuple[int, ...]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """A table from its least place on, with what is added so that this is 0."""
    least = min(places)
    table = tuple(places.get(place, 0) for place in range(least, max(places) + 1))
    return table, tuple(begin - least for begin in begins)
