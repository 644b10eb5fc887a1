"""Sets as bits (bit b: thing b is in the set), many at a time: their members, and where symmetries take them.

`BitGame` is what games have in common whose codes are such a set and the turn, and whose play only ever
adds to it.
"""

from collections.abc import Sequence

import numpy as np

from games.codes import TURN, Bytes, Codes, Indices, MoveIds, turn_of

MOST_BITS = 58
"""A family's own bits at most: some are left above for what house rules count, and for the turn."""


def bits_of(members: Sequence[int]) -> int:
    """The set with these members."""
    return sum(1 << member for member in members)


def members_of(sets: Codes, size: int) -> tuple[Indices, Indices]:
    """The members below `size` of every set: places in `sets` and members, sorted by both, (m,) each."""
    octets = sets.astype("<u8").view(np.uint8).reshape(-1, 8)
    place, member = np.nonzero(np.unpackbits(octets, axis=1, bitorder="little", count=size))
    return place, member


class Images:
    """Where a symmetry takes things, and with them whole sets: thing b goes to images[b].

    Sets are looked up eight bits at a time: `_tables[k][octet]` is where the members that the k-th octet
    of a set tells of go.
    """

    __slots__ = ("_tables",)

    def __init__(self, images: Sequence[int]) -> None:
        self._tables = [_table(images[low : low + 8]) for low in range(0, len(images), 8)]

    def of_sets(self, sets: Codes) -> Codes:
        """The images of sets, (n,); bits above the last thing are left out."""
        image = np.zeros_like(sets)
        for place, table in enumerate(self._tables):
            octets = sets >> np.uint64(8 * place) & np.uint64(len(table) - 1)
            image |= table[octets.astype(np.intp)]
        return image


def _table(images: Sequence[int]) -> Codes:
    """The image of every set of up to eight things."""
    table = np.zeros(1, dtype=np.uint64)
    for image in images:
        table = np.concatenate([table, table | np.uint64(1 << image)])
    return table


def pair_images(turns: Sequence[Sequence[int]], pairs: Sequence[tuple[int, int]]) -> list[tuple[int, ...]]:
    """Where turns of things take pairs of them: for each turn the place of each pair's image among the pairs.

    Raises KeyError if a turn takes a pair to one that is not among them.
    """
    place = {frozenset(pair): number for number, pair in enumerate(pairs)}
    return [tuple(place[frozenset(turn[thing] for thing in pair)] for pair in pairs) for turn in turns]


class BitGame:
    """The common part of games whose codes are a set of bits, and the turn in its own bit."""

    other_start: int | None = None
    can_repeat = False

    def __init__(
        self,
        name: str,
        title: str,
        origin: str,
        size: str,
        bit_images: Sequence[Sequence[int]],
        move_images: Sequence[Sequence[int]],
        start: int = 0,
    ) -> None:
        """Where each symmetry takes the bits and the moves is given, the identity first."""
        self.name = name
        self.title = title or name
        self.origin = origin
        self.size = size
        self.start = start
        self.bits = len(bit_images[0])
        self.symmetries = len(bit_images)
        self._bit_images = [Images(images) for images in bit_images]
        self._move_images = [np.array(images, dtype=np.uint16) for images in move_images]

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is, as the turn bit says."""
        return turn_of(codes)

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The same positions seen through a symmetry."""
        image: Codes = self._bit_images[symmetry].of_sets(codes) | codes & TURN
        return image

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """The moves as they are called after `turned` with the same symmetry."""
        return self._move_images[symmetry][moves]
