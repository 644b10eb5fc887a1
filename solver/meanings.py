"""What each kind of rule means, as plain data: all there is to know about it beside the game that it is for.

What a rule allows is worked out from its meaning, and so is the part of a program that plays by it.  Sets of cells
are whole numbers, bit c standing for cell c.
"""

from collections.abc import Sequence
from typing import NamedTuple

MINE, VISITORS = "mine", "visitors"
"""Whose marks: the machine's or the visitor's."""


class FillsALine(NamedTuple):
    """*Complete a line* or *block a line*: the cells that fill a line for a side."""

    whose: str


class MakesDoubleThreat(NamedTuple):
    """*Make a double threat*."""


class StopsDoubleThreat(NamedTuple):
    """*Stop a double threat*: the ways of a group are allowed alike, and the first group that allows any counts.

    The ways are those named below: OCCUPYING, ...
    """

    ways: tuple[tuple[str, ...], ...]


OCCUPYING, ONLY_ONE, CLEARING = "occupying", "occupying_only", "clearing"
ANY_THREAT, SAFE_THREAT = "any_threat", "safe_threat"
CLEARING_THREAT, OCCUPYING_THREAT = "clearing_threat", "occupying_threat"
USUAL_WAYS = ((CLEARING, SAFE_THREAT), (OCCUPYING,))
"""What *stop a double threat* means when no way is named: clearing it or a safe threat, else occupying it."""


class AnyOf(NamedTuple):
    """Any of these cells: a group that has a name, cells that the sheet names, or all."""

    cells: tuple[int, ...]


class FirstOf(NamedTuple):
    """The first of these cells, in this order, that can be marked."""

    cells: tuple[int, ...]


class OppositeCorner(NamedTuple):
    """A corner whose opposite the visitor holds; `pairs` has each corner with the one opposite to it."""

    pairs: tuple[tuple[int, int], ...]


class Picture(NamedTuple):
    """A whole board as it must be found: sets of one's own, the visitor's and free cells, and the cell to play."""

    mine: int
    visitors: int
    free: int
    target: int

    def image(self, cell_images: Sequence[int]) -> "Picture":
        """The picture with every cell gone where `cell_images` says."""
        return Picture(*(_moved(cells, cell_images) for cells in self))


def _moved(cells: int, cell_images: Sequence[int]) -> int:
    return sum(1 << image for cell, image in enumerate(cell_images) if cells >> cell & 1)


class FindsPicture(NamedTuple):
    """*Picture*: the targets of all its images that are found; `is_fixed` where only the picture as drawn counts."""

    picture: Picture
    is_fixed: bool

    def images(self, cell_images: Sequence[Sequence[int]]) -> tuple[Picture, ...]:
        """The pictures that are looked for on a board with these symmetries, each once, the one drawn first."""
        turns = cell_images[: 1 if self.is_fixed else None]
        return tuple(dict.fromkeys(self.picture.image(turn) for turn in turns))


class CellWeight(NamedTuple):
    """What some cells weigh by their place."""

    weight: int
    cells: int


class LineWeight(NamedTuple):
    """What some lines, each a set of cells, weigh for their free cells while they hold so many marks of each side."""

    weight: int
    lines: tuple[int, ...]
    mine: int
    visitors: int


Weight = CellWeight | LineWeight


class Heaviest(NamedTuple):
    """*Take the heaviest cell*: of the cells that can be marked those that weigh most, all that fits added up."""

    weights: tuple[Weight, ...]


class LooksAhead(NamedTuple):
    """*Look ahead*: the least of the best moves so many plies deep."""

    plies: int


class LooksUp(NamedTuple):
    """Moves that are looked up in the store; `is_turned` where that is by least images."""

    is_turned: bool


Meaning = (
    FillsALine
    | MakesDoubleThreat
    | StopsDoubleThreat
    | AnyOf
    | FirstOf
    | OppositeCorner
    | FindsPicture
    | Heaviest
    | LooksAhead
    | LooksUp
)
