"""The lines of a graph's picture: the moves that they stand for, their bows, and the room that their names take."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING, Any, NamedTuple

from workbench.svg import Point, at, element

if TYPE_CHECKING:
    import networkx as nx

SIGN_WIDE, NAME_HIGH = 5.0, 9.0
"""The room of a sign of a name, and of a line of them."""
LONGEST_LABEL = 11
"""Signs; where several moves lead to the same position and their names take more, the first stands for all."""
CLEAR = 3
"""Between a name and a card."""
NAME_AT = (0.78, 0.7, 0.62, 0.86, 0.54, 0.46)
"""How far along its line a name may stand, the best place first."""


class Move(NamedTuple):
    """All moves from one position to another, drawn as one line; `back`: to the same ply or an earlier one."""

    before: int
    after: int
    names: tuple[str, ...]
    best: bool
    back: bool

    @property
    def ends(self) -> tuple[int, int]:
        """Which of its cards stands farther left, and which farther right."""
        return (self.after, self.before) if self.back else (self.before, self.after)

    @property
    def label(self) -> str:
        """Its names as far as there is room."""
        whole = " ".join(self.names)
        fits = len(whole) <= LONGEST_LABEL or len(self.names) == 1
        return whole if fits else f"{self.names[0]} +{len(self.names) - 1}"


class Piece(NamedTuple):
    """A piece of a line, from one place to the next: a bow between columns, or level across a column."""

    begin: Point
    end: Point

    @property
    def leans(self) -> tuple[Point, Point]:
        """The two points towards which a bow is drawn: it leaves and arrives level."""
        half = (self.end[0] - self.begin[0]) * 0.55
        return (self.begin[0] + half, self.begin[1]), (self.end[0] - half, self.end[1])

    def point(self, part: float) -> Point:
        """The point `part` of the way along (de Casteljau's construction)."""
        points = [self.begin, *self.leans, self.end]
        while len(points) > 1:
            points = [
                (x + (to_x - x) * part, y + (to_y - y) * part) for (x, y), (to_x, to_y) in pairwise(points)
            ]
        return points[0]


class Box(NamedTuple):
    """The room of a name, around its middle."""

    x: float
    y: float
    wide: float

    def overlaps(self, other: "Box") -> bool:
        """Whether two names would be in each other's way."""
        across = abs(self.x - other.x) < (self.wide + other.wide) / 2
        return across and abs(self.y - other.y) < NAME_HIGH

    def lies_within(self, piece: Piece) -> bool:
        """Whether it stays clear of what stands at the two ends of a piece of a line."""
        left, right = sorted((piece.begin[0], piece.end[0]))
        return left + CLEAR < self.x - self.wide / 2 and self.x + self.wide / 2 < right - CLEAR

    def ground(self) -> str:
        """A light ground that keeps the line from striking the name out."""
        corner = {"x": self.x - self.wide / 2, "y": self.y - NAME_HIGH / 2}
        return element("rect", None, **corner, width=self.wide, height=NAME_HIGH, rx=2, class_="ground")


def box_of(move: Move, piece: Piece, taken: Sequence[Box], *, near_end: bool) -> Box:
    """Where the name of a move stands: the first of the good places that is free, else the best."""
    wide = SIGN_WIDE * len(move.label) + 3
    tried = [Box(*piece.point(part if near_end else 1 - part), wide) for part in NAME_AT]
    good = [box for box in tried if box.lies_within(piece)] or [Box(*piece.point(0.5), wide)]
    return next((box for box in good if not any(map(box.overlaps, taken))), good[0])


def path_of(pieces: Sequence[Piece]) -> str:
    """The pieces of a line as one path."""
    path = f"M{at(pieces[0].begin)}"
    for piece in pieces:
        is_level = piece.begin[1] == piece.end[1]
        path += f"L{at(piece.end)}" if is_level else f"C{' '.join(map(at, (*piece.leans, piece.end)))}"
    return path


def drawn_moves(network: "nx.MultiDiGraph") -> Iterator[Move]:
    """The moves, those between the same two positions together."""
    together: dict[tuple[int, int], list[Mapping[str, Any]]] = defaultdict(list)
    for before, after, move in network.edges(data=True):
        together[before, after].append(move)
    ply = dict(network.nodes(data="ply"))
    for (before, after), moves in together.items():
        names = tuple(move["move"] for move in moves)
        yield Move(before, after, names, any(move["best"] for move in moves), ply[after] <= ply[before])
