"""How men go over a rectangle of cells: where forward is, and each way as a shift of bits.

Cells are numbered in reading order, so all men that go the same way move by the same number of bits, and one
shift moves them all.  Sets of cells have a bit for each cell.
"""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np

from games.board import Board
from games.codes import TURN, Codes, MoveIds

_Heading = tuple[int, int]
"""Columns to the right and rows down."""
HEADINGS: dict[str, _Heading] = {"up": (0, -1), "down": (0, 1), "left": (-1, 0), "right": (1, 0)}
"""Where a side can be going."""
KINDS = ("forward", "sideways", "diagonal")
"""The kinds of ways, seen from the side that goes: one cell ahead, to either side, ahead and to a side at once."""

ONTO = ONTO_FREE, ONTO_OTHER, OFF_BOARD = "free", "other", "off"
"""Where a way leads: onto a free cell, onto one that the other side holds, or off the board."""


class Way(NamedTuple):
    """One way to go: of which kind, onto what, how many bits farther, and from which cells."""

    kind: str
    onto: str
    shift: int
    cells: int


class Side:
    """All that sets the men of one side apart: which of them stand where at the start, and how they go.

    heading: a word of HEADINGS; steps, captures: words of KINDS; leaves: whether men on the far edge may leave.
    """

    __slots__ = ("far", "heading", "men", "ways")

    def __init__(
        self,
        board: Board,
        men: int,
        heading: str,
        steps: Iterable[str],
        captures: Iterable[str],
        *,
        leaves: bool,
    ) -> None:
        self.men = men
        self.heading = heading
        self.far = edge(board, HEADINGS[heading])
        wanted = [(ONTO_FREE, kind) for kind in steps] + [(ONTO_OTHER, kind) for kind in captures]
        ways = [_way(board, *each, ahead) for each in wanted for ahead in _headings(heading, each[1])]
        ways += [Way("forward", OFF_BOARD, 0, self.far)] if leaves else []
        self.ways = tuple(way for way in ways if way.cells)

    def carried(self, images: tuple[int, ...]) -> frozenset[tuple[str, int, int]]:
        """The side as a set of facts about cells, seen through a symmetry: equal sets are the same side."""
        facts = {("man", images[cell], 0) for cell in cells_of(self.men)}
        facts |= {("far", images[cell], 0) for cell in cells_of(self.far)}
        for way in self.ways:
            facts |= {(way.onto, images[cell], images[cell + way.shift]) for cell in cells_of(way.cells)}
        return frozenset(facts)


def goes_aside(sides: Iterable[Side]) -> bool:
    """Whether some man can step to the side, and so back again: the only way to come back to a position."""
    return any(way.kind == "sideways" and way.onto == ONTO_FREE for side in sides for way in side.ways)


def back_edge(board: Board, heading: str) -> int:
    """The edge from which a side that is going there comes."""
    right, down = HEADINGS[heading]
    return edge(board, (-right, -down))


def edge(board: Board, heading: _Heading) -> int:
    """The cells beyond which there is no board in this direction."""
    right, down = heading
    columns, rows = range(board.columns), range(board.rows)
    return sum(
        1 << board.cell(column, row)
        for row in rows
        for column in columns
        if column + right not in columns or row + down not in rows
    )


def cells_of(cells: int) -> list[int]:
    """The cells of a set, in reading order."""
    return [cell for cell in range(cells.bit_length()) if cells >> cell & 1]


def shifted(cells: Codes, by: int) -> Codes:
    """Sets of cells, each cell moved by so many bits."""
    return cells << np.uint64(by) if by >= 0 else cells >> np.uint64(-by)


def men_able(way: Way, own: Codes, other: Codes, free: Codes) -> Codes:
    """The men among `own` that can go this way, given who holds what: (n,) sets of cells each."""
    able = own & np.uint64(way.cells)
    if way.onto == OFF_BOARD:
        return able
    return able & shifted(free if way.onto == ONTO_FREE else other, -way.shift)


def _headings(heading: str, kind: str) -> list[_Heading]:
    """The directions of a kind of way, for a side that is going there."""
    right, down = HEADINGS[heading]
    to_sides = ((-abs(down), -abs(right)), (abs(down), abs(right)))
    if kind == "forward":
        return [(right, down)]
    if kind == "sideways":
        return list(to_sides)
    return [(right + aside, down + below) for aside, below in to_sides]


def _way(board: Board, onto: str, kind: str, heading: _Heading) -> Way:
    right, down = heading
    inside = (1 << board.size) - 1 & ~edge(board, heading)
    return Way(kind, onto, down * board.columns + right, inside)


class Step(NamedTuple):
    """One man's move: its number, the bit of the cell where the man stands, the bits of a code that it changes."""

    move: int
    man: np.uint64
    flip: np.uint64


class MoveBook:
    """The moves of two sides by number, and what each changes in a code.

    First those that men of either side can make, by the cells from and to which they lead (leaving comes after
    all cells); then `passing`, if there is a word for it; last what people can type and no man can ever do.

    names: what people type; playable: how many moves there are that men can make, with passing;
    steps: for each player, each way of theirs and each cell the step;
    man, onto: (m,) the bits of the cells from and to which each move leads, 0 for no cell;
    knows: for each of ONTO_FREE, ONTO_OTHER and OFF_BOARD which moves either side has: (2, m).
    """

    __slots__ = ("_number", "_size", "knows", "man", "names", "onto", "passing", "playable", "steps")

    def __init__(self, board: Board, sides: Sequence[Side], off: str, passing: str = "") -> None:
        """`off`, `passing`: the words for leaving the board and for passing.

        A code holds the first side's men from bit 0, then the second's.
        """
        self._size = board.size
        ways = [(player, way) for player, side in enumerate(sides) for way in side.ways]
        real = sorted({pair for _, way in ways for pair in self._pairs_of(way)})
        nowhere = (board.size, board.size)
        pairs = [*real, *([nowhere] if passing else []), *self._never(real)]
        self._number = {pair: number for number, pair in enumerate(pairs)}
        self.passing = self._number.get(nowhere)
        self.playable = len(real) + bool(passing)
        places = (*board.names, off)
        self.names = tuple(
            passing if pair == nowhere else "-".join(places[end] for end in pair) for pair in pairs
        )
        bits = [*(1 << cell for cell in range(board.size)), 0]
        self.man, self.onto = (
            np.array([bits[end] for end in ends], dtype=np.uint64) for ends in zip(*pairs, strict=True)
        )
        self.knows = {onto: np.zeros((len(sides), len(pairs)), dtype=bool) for onto in ONTO}
        self.steps: tuple[list[list[Step]], ...] = tuple([] for _ in sides)
        for player, way in ways:
            steps = [self._step(player, way.onto, *pair) for pair in self._pairs_of(way)]
            self.steps[player].append(steps)
            self.knows[way.onto][player, [step.move for step in steps]] = True

    def _pairs_of(self, way: Way) -> list[tuple[int, int]]:
        """The cells from and to which a way leads; off the board is the number after all cells."""
        off = way.onto == OFF_BOARD
        return [(cell, self._size if off else cell + way.shift) for cell in cells_of(way.cells)]

    def _never(self, real: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
        """What looks like a move and is none: between any two cells, and off the board where men can leave at all."""
        ends = range(self._size + any(to == self._size for _, to in real))
        return [(at, to) for at in range(self._size) for to in ends if at != to and (at, to) not in set(real)]

    def _step(self, player: int, onto: str, at: int, to: int) -> Step:
        own, other = player * self._size, (1 - player) * self._size
        flip = 1 << own + at
        if onto != OFF_BOARD:
            flip |= 1 << own + to
        if onto == ONTO_OTHER:
            flip |= 1 << other + to
        return Step(self._number[at, to], np.uint64(1 << at), np.uint64(flip) | TURN)

    def turned(self, images: Sequence[int]) -> MoveIds:
        """Each move as it is called when the cells go where `images` says."""
        goes = (*images, self._size)
        return np.array([self._number[goes[at], goes[to]] for at, to in self._number], dtype=np.uint16)
