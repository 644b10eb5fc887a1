"""The ways in which a board of points is like itself: permutations of the points that leave everything as it is.

A permutation is a tuple that says where each point goes.
"""

from collections.abc import Hashable, Iterator, Sequence
from itertools import islice

MOST_SYMMETRIES = 240
"""`games.game.least_images` keeps a symmetry's number in one byte."""
MOST_TRIES = 100_000
"""How many times a point is tried in a place before the search is given up: about a tenth of a second."""

Permutation = tuple[int, ...]


class Tangled(Exception):
    """There are too many likenesses, or they are too hard to find."""


class Figure:
    """Points, the steps that join them, and lines of them.

    joined: for each point the set of points joined to it; lines: sets of points.
    """

    __slots__ = ("lines", "size", "ties")

    def __init__(self, joined: Sequence[int], lines: Sequence[int]) -> None:
        self.size = len(joined)
        self.lines = frozenset(lines)
        self.ties = [
            [(joined[one] >> other & 1, _lines_through(lines, one, other)) for other in range(self.size)]
            for one in range(self.size)
        ]
        """What holds two points together: whether they are joined, and how many lines go through both."""

    def likenesses(
        self, before: Sequence[Hashable], after: Sequence[Hashable], most: int = MOST_SYMMETRIES
    ) -> list[Permutation]:
        """The permutations that carry the figure to itself and each point's kind `before` to the same kind `after`.

        They come in order, so the identity is first where there is it.  Raises Tangled beyond `most`.
        """
        found = list(islice(self._search(before, after), most + 1))
        if len(found) > most:
            raise Tangled
        return sorted(found)

    def keeps(self, images: Permutation, kinds: Sequence[Hashable]) -> bool:
        """Whether a permutation leaves steps, lines and kinds of points as they are."""
        points = range(self.size)
        return (
            all(kinds[point] == kinds[images[point]] for point in points)
            and all(self.ties[a][b] == self.ties[images[a]][images[b]] for a in points for b in points)
            and self._keeps_lines(images)
        )

    def _keeps_lines(self, images: Sequence[int]) -> bool:
        return {_image(images, line) for line in self.lines} == self.lines

    def _search(self, before: Sequence[Hashable], after: Sequence[Hashable]) -> Iterator[Permutation]:
        """Place point after point, wherever it is tied to those placed already as it should be."""
        before, after = self._told_apart(before, after)
        candidates = [[place for place in range(self.size) if after[place] == kind] for kind in before]
        order = self._order()
        images: list[int] = []
        waiting = [iter(candidates[order[0]])]
        tries = 0
        while waiting:
            place = next(waiting[-1], None)
            if place is None:
                waiting.pop()
                del images[-1:]
                continue
            tries += 1
            if tries > MOST_TRIES:
                raise Tangled
            if place in images or not self._fits(order, images, place):
                continue
            images.append(place)
            if len(images) < self.size:
                waiting.append(iter(candidates[order[len(images)]]))
                continue
            permutation = tuple(image for _, image in sorted(zip(order, images, strict=True)))
            if self._keeps_lines(permutation):
                yield permutation
            images.pop()

    def _order(self) -> list[int]:
        """The points in an order in which each has many ties to those before it, which leaves it few places."""
        order: list[int] = []
        left = list(range(self.size))
        while left:
            tied = max(left, key=lambda point: sum(self.ties[point][each] != (0, 0) for each in order))
            left.remove(tied)
            order.append(tied)
        return order

    def _fits(self, order: Sequence[int], images: Sequence[int], place: int) -> bool:
        """Whether the next point may go to a place, judged by its ties to those that have one."""
        ties, there = self.ties[order[len(images)]], self.ties[place]
        return all(ties[point] == there[image] for point, image in zip(order, images, strict=False))

    def _told_apart(
        self, before: Sequence[Hashable], after: Sequence[Hashable]
    ) -> tuple[list[int], list[int]]:
        """Kinds made as fine as counting ties can make them: those of unlike neighbours are unlike too."""
        kinds = _numbered(before, after)
        while True:
            finer = _numbered(
                *([self._surroundings(side, point) for point in range(self.size)] for side in kinds)
            )
            if len({*finer[0], *finer[1]}) == len({*kinds[0], *kinds[1]}):
                return finer
            kinds = finer

    def _surroundings(self, kinds: Sequence[int], point: int) -> Hashable:
        around = sorted((self.ties[point][other], kinds[other]) for other in range(self.size))
        return kinds[point], tuple(around)


def _numbered(before: Sequence[Hashable], after: Sequence[Hashable]) -> tuple[list[int], list[int]]:
    """The same kinds as small numbers, in the order in which they are met."""
    numbers: dict[Hashable, int] = {}
    for kind in (*before, *after):
        numbers.setdefault(kind, len(numbers))
    return [numbers[kind] for kind in before], [numbers[kind] for kind in after]


def _lines_through(lines: Sequence[int], one: int, other: int) -> int:
    both = 1 << one | 1 << other
    return sum(line & both == both for line in lines)


def _image(images: Sequence[int], points: int) -> int:
    return sum(1 << image for point, image in enumerate(images) if points >> point & 1)
