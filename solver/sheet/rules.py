"""The rules of a sheet, each as a set of allowed cells for many positions at once, worked out from its meaning."""

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from games.board import Board
from games.codes import Codes, Flags, Indices
from games.game import BoardGame, LineGame
from solver import meanings as means
from solver.sheet import lines as look
from solver.strategy import Allowed, View

_NONE = np.uint64(0)
NO_MOVE = -1


class Marked:
    """Positions of a game of marks as the machine sees them: sets of cells, (n,) each, one bit a cell."""

    __slots__ = ("free", "mine", "visitors")

    def __init__(self, mine: Codes, visitors: Codes, free: Codes) -> None:
        self.mine = mine
        self.visitors = visitors
        self.free = free

    @classmethod
    def of(cls, game: BoardGame, codes: Codes, seat: int) -> "Marked":
        """The sets of positions in which `seat` is the machine's."""
        held = game.holdings(codes)
        every = np.uint64((1 << game.board.size) - 1)
        return cls(held[seat], held[1 - seat], ~(held[0] | held[1]) & every)

    def __len__(self) -> int:
        return len(self.mine)

    def part(self, places: Indices) -> "Marked":
        """Some of the positions."""
        return Marked(self.mine[places], self.visitors[places], self.free[places])


Cells = Callable[[Marked], Codes]
"""The cells that a rule allows in each position, as sets."""
CellMeaning = (
    means.FillsALine
    | means.MakesDoubleThreat
    | means.StopsDoubleThreat
    | means.AnyOf
    | means.OppositeCorner
    | means.FindsPicture
)
"""The meanings that allow cells whatever the others are."""


class CellRule:
    """A rule that allows some free cells to be marked."""

    __slots__ = ("_cells", "_game", "line", "meaning", "text")
    stores_answers = False

    def __init__(self, game: LineGame, text: str, line: int, meaning: CellMeaning) -> None:
        self.text = text
        self.line = line
        self.meaning = meaning
        self._game = game
        self._cells = cells_of(game, meaning)

    def __reduce__(self) -> tuple[type, tuple[LineGame, str, int, CellMeaning]]:
        """Sent to another process, the rule is made anew from its meaning there."""
        return CellRule, (self._game, self.text, self.line, self.meaning)

    def allowed(self, view: View) -> Allowed:
        """Every move that puts a mark on a cell that the rule names."""
        cells = self._cells(Marked.of(self._game, view.codes, view.seat))
        return Allowed(*self._game.moves_onto(view.codes, cells))


class FirstOfRule:
    """A rule that names cells in order, and allows the first of them on which a mark can be put."""

    __slots__ = ("_game", "line", "meaning", "text")
    stores_answers = False

    def __init__(self, game: LineGame, text: str, line: int, meaning: means.FirstOf) -> None:
        self.text = text
        self.line = line
        self.meaning = meaning
        self._game = game

    def allowed(self, view: View) -> Allowed:
        """The move onto the first of the cells that can be marked."""
        chosen = np.full(len(view), NO_MOVE, dtype=np.intp)
        for cell in self.meaning.cells:
            waiting = np.flatnonzero(chosen == NO_MOVE)
            onto = np.full(len(waiting), 1 << cell, dtype=np.uint64)
            place, move = self._game.moves_onto(view.codes[waiting], onto)
            chosen[waiting[place]] = move
        found = np.flatnonzero(chosen != NO_MOVE)
        return Allowed(found, chosen[found].astype(np.uint16))


# What the meanings allow --------------------------------------------------------------------------------


def cells_of(game: LineGame, meaning: CellMeaning) -> Cells:
    """What a meaning allows in a game."""
    return _CELLS[type(meaning)](game, meaning)


def _fills_a_line(game: LineGame, meaning: means.FillsALine) -> Cells:
    """A cell that fills a line of one's own, or would fill one of the visitor's."""
    if meaning.whose == means.MINE:
        return lambda view: look.threat_cells(game.lines, view.mine, view.free)
    return lambda view: look.threat_cells(game.lines, view.visitors, view.free)


def _makes_double_threat(game: LineGame, _: means.MakesDoubleThreat) -> Cells:
    """A double-threat cell of one's own."""
    return lambda view: look.double_threat_cells(game.lines, view.mine, view.free)


Way = Callable[[LineGame, Marked, Codes], Codes]
"""A way to stop a double threat: the cells it allows, given the visitor's double-threat cells."""


def _clearing(game: LineGame, view: Marked, _: Codes) -> Codes:
    return look.clearing_cells(game.lines, view.visitors, view.free, game.board.size)


def _any_threat(game: LineGame, view: Marked, _: Codes) -> Codes:
    return look.threatening_cells(game.lines, view.mine, view.free)


def _safe_threat(game: LineGame, view: Marked, _: Codes) -> Codes:
    return look.safe_threat_cells(game.lines, view.mine, view.visitors, view.free, game.board.size)


_WAYS: Mapping[str, Way] = {
    means.OCCUPYING: lambda game, view, cells: cells,
    means.ONLY_ONE: lambda game, view, cells: look.only_one(cells),
    means.CLEARING: _clearing,
    means.ANY_THREAT: _any_threat,
    means.SAFE_THREAT: _safe_threat,
    means.CLEARING_THREAT: lambda game, view, cells: (
        _any_threat(game, view, cells) & _clearing(game, view, cells)
    ),
    means.OCCUPYING_THREAT: lambda game, view, cells: _any_threat(game, view, cells) & cells,
}


def _stops_double_threat(game: LineGame, meaning: means.StopsDoubleThreat) -> Cells:
    """Where the visitor has a double-threat cell: the cells of the first group of ways that allows any."""

    def cells(view: Marked) -> Codes:
        theirs = look.double_threat_cells(game.lines, view.visitors, view.free)
        found = np.zeros_like(theirs)
        concerned = np.nonzero(theirs)[0]
        for group in meaning.ways:
            part = view.part(concerned)
            here = np.zeros(len(concerned), dtype=np.uint64)
            for way in group:
                here |= _WAYS[way](game, part, theirs[concerned]) & part.free
            found[concerned] = here
            concerned = concerned[here == _NONE]
        return found

    return cells


def _any_of(_: LineGame, meaning: means.AnyOf) -> Cells:
    union = np.uint64(sum(1 << cell for cell in set(meaning.cells)))
    return lambda view: np.full(len(view), union)


def opposite_corners(board: Board) -> tuple[tuple[int, int], ...]:
    """Each corner with the one opposite to it, where there are both."""
    across = ((corner, board.opposite(corner)) for corner in board.groups()["corners"])
    return tuple((corner, other) for corner, other in across if other is not None)


def _opposite_corner(_: LineGame, meaning: means.OppositeCorner) -> Cells:
    """A corner opposite to any corner that the visitor holds."""

    def opposite(view: Marked) -> Codes:
        found = np.zeros(len(view), dtype=np.uint64)
        for corner, other in meaning.pairs:
            found |= (view.visitors >> np.uint64(other) & np.uint64(1)) << np.uint64(corner)
        return found

    return opposite


def matches(picture: means.Picture, view: Marked) -> Flags:
    """In which positions a picture is found as it is drawn."""
    free = np.uint64(picture.free | picture.target)
    mine, visitors = np.uint64(picture.mine), np.uint64(picture.visitors)
    found: Flags = view.mine & mine == mine
    found &= view.visitors & visitors == visitors
    found &= view.free & free == free
    return found


def _finds_picture(game: LineGame, meaning: means.FindsPicture) -> Cells:
    """The target of the picture wherever it is found, turned in every way that the game allows unless fixed."""
    different = meaning.images(game.cell_images)

    def cells(view: Marked) -> Codes:
        found = np.zeros(len(view), dtype=np.uint64)
        for image in different:
            found |= np.where(matches(image, view), np.uint64(image.target), _NONE)
        return found

    return cells


_CELLS: Mapping[type, Callable[[LineGame, Any], Cells]] = {
    means.FillsALine: _fills_a_line,
    means.MakesDoubleThreat: _makes_double_threat,
    means.StopsDoubleThreat: _stops_double_threat,
    means.AnyOf: _any_of,
    means.OppositeCorner: _opposite_corner,
    means.FindsPicture: _finds_picture,
}
