"""The chance to come to an end where every next position is as likely as another, exactly, also where play goes round.

The chance of a position is the mean of those of the positions after it.  Where play goes onward, that is worked out
from the ends backwards.  Where it goes round, these are linear equations: one position after another is put into the
others' equations, until none is left.  All of it in whole fractions.
"""

from collections.abc import Mapping, Sequence
from fractions import Fraction

MOST_TANGLED = 2_000
"""Positions that go round together; the equations of more would take too long."""

_Equation = dict[int, Fraction]
"""A position's chance as a sum: factors by position; what is no other's chance stands under `_BARE`."""
_BARE = -1


def chances(after: Sequence[Sequence[int]], known: Mapping[int, Fraction]) -> list[Fraction] | None:
    """For each position the chance of what is known at the ends.

    after: the positions that come next, one as often as moves lead to it; none of an end.  known: the chances of all
    ends.  Who can never come to an end with a chance has none.  None where too many positions go round together.
    """
    before = _turned_round(after)
    found = dict(known)
    for sure in (0, 1):  # where nothing but this can come, it comes
        others = _from_which(before, [place for place, chance in found.items() if chance != sure])
        found |= {place: Fraction(sure) for place in range(len(after)) if place not in others | found.keys()}
    waiting = {
        place: sum(each not in found for each in others)
        for place, others in enumerate(after)
        if place not in found
    }
    ready = [place for place, number in waiting.items() if not number]
    while ready:
        place = ready.pop()
        found[place] = sum((found[each] for each in after[place]), Fraction(0)) / len(after[place])
        del waiting[place]
        for each in before[place]:
            if each in waiting:
                waiting[each] -= 1
                if not waiting[each]:
                    ready.append(each)
    if len(waiting) > MOST_TANGLED:
        return None
    found |= _solved({place: _equation(after[place], found) for place in sorted(waiting)})
    return [found[place] for place in range(len(after))]


def _turned_round(after: Sequence[Sequence[int]]) -> list[list[int]]:
    before: list[list[int]] = [[] for _ in after]
    for place, others in enumerate(after):
        for each in others:
            before[each].append(place)
    return before


def _from_which(before: Sequence[Sequence[int]], ends: Sequence[int]) -> set[int]:
    """The positions from which one of these ends can come."""
    possible = set(ends)
    ahead = list(ends)
    while ahead:
        more = [each for each in before[ahead.pop()] if each not in possible]
        possible.update(more)
        ahead += more
    return possible


def _equation(after: Sequence[int], found: Mapping[int, Fraction]) -> _Equation:
    one = Fraction(1, len(after))
    equation: _Equation = {_BARE: Fraction(0)}
    for each in after:
        if each in found:
            equation[_BARE] += one * found[each]
        else:
            equation[each] = equation.get(each, Fraction(0)) + one
    return equation


def _solved(equations: dict[int, _Equation]) -> dict[int, Fraction]:
    """What the equations come to."""
    order = _untangled(equations)
    found: dict[int, Fraction] = {}
    for place in reversed(order):
        rest = (factor * found[each] for each, factor in _factors(equations[place]))
        found[place] = sum(rest, equations[place][_BARE])
    return found


def _untangled(equations: dict[int, _Equation]) -> list[int]:
    """Put each equation into those that ask for it, the one that tangles least first.

    Gives the order: each asks only for places that come behind it.
    """
    asking: dict[int, set[int]] = {place: set() for place in equations}
    for place, equation in equations.items():
        for each, _ in _factors(equation):
            asking[each].add(place)
    order: list[int] = []
    while asking:
        place = min(asking, key=lambda each: (len(asking[each]) * len(equations[each]), each))
        order.append(place)
        equation = equations[place] = _without_itself(equations[place], place)
        others = asking.pop(place) - {place}
        for other in others:
            _put_in(equations[other], place, equation)
        for each, _ in _factors(equation):
            asking[each] |= others
            asking[each].discard(place)
    return order


def _factors(equation: _Equation) -> list[tuple[int, Fraction]]:
    """The chances that an equation asks for, each with its factor."""
    return [(each, factor) for each, factor in equation.items() if each != _BARE]


def _without_itself(equation: _Equation, place: int) -> _Equation:
    """The same without the chance that it is asked for: play that comes back here begins here anew."""
    back = equation.pop(place, None)
    return equation if back is None else {each: factor / (1 - back) for each, factor in equation.items()}


def _put_in(into: _Equation, place: int, equation: _Equation) -> None:
    """Put a position's equation in its place."""
    times = into.pop(place)
    for each, factor in equation.items():
        into[each] = into.get(each, Fraction(0)) + times * factor
