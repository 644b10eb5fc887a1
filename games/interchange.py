"""Equal things that can change places: heaps of one size, rows of one length.

A permutation is a tuple that says where each thing goes.
"""

from collections.abc import Hashable, Sequence
from itertools import chain, permutations, product
from math import factorial, prod

MOST_SYMMETRIES = 240
"""`games.game.least_images` keeps a symmetry's number in one byte; five equal heaps and two more fit."""


def interchanges(kinds: Sequence[Hashable], most: int = MOST_SYMMETRIES) -> list[tuple[int, ...]]:
    """The permutations that put each thing in the place of one of the same kind: a group, identity first.

    Where there would be more than `most`, equal things are divided into smaller groups in which they change
    places, half and half, until there are not.
    """
    groups = [[place for place, each in enumerate(kinds) if each == kind] for kind in dict.fromkeys(kinds)]
    while prod(factorial(len(group)) for group in groups) > max(1, most):
        largest = max(groups, key=len)
        groups.remove(largest)
        half = (len(largest) + 1) // 2
        groups += [largest[:half], largest[half:]]
    members = list(chain(*groups))
    found = []
    for images in product(*(permutations(group) for group in groups)):
        goes = dict(zip(members, chain(*images), strict=True))
        found.append(tuple(goes[place] for place in range(len(kinds))))
    return found
