"""Equal things that can change places: heaps of one size, rows of one length.

A permutation is a tuple that says where each thing goes.
"""

from collections.abc import Hashable, Sequence
from itertools import permutations, product
from math import factorial, prod

import numpy as np

from games.codes import TURN, Codes

MOST_SYMMETRIES = 240
"""`games.game.least_images` keeps a symmetry's number in one byte; five equal heaps and two more fit."""

Shift = tuple[int, int]
"""A set of bits, and by how many places these move (up, or down if negative)."""


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
    found = []
    for images in product(*(permutations(group) for group in groups)):
        goes = dict(zip(sum(groups, []), sum(images, ()), strict=True))
        found.append(tuple(goes[place] for place in range(len(kinds))))
    return found


def shifts(images: Sequence[int]) -> list[Shift]:
    """How to carry bits to their images, with one shift for all bits that go equally far."""
    sets: dict[int, int] = {}
    for bit, image in enumerate(images):
        sets[image - bit] = sets.get(image - bit, 0) | 1 << bit
    return [(bits, distance) for distance, bits in sets.items()]


def shifted(codes: Codes, by: Sequence[Shift]) -> Codes:
    """The codes with their bits carried to where `shifts` says; the turn stays."""
    image = codes & TURN
    for bits, distance in by:
        part = codes & np.uint64(bits)
        image |= part << np.uint64(distance) if distance >= 0 else part >> np.uint64(-distance)
    return image
