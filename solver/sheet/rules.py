"""The rules of a sheet, each as a set of allowed cells for many positions at once."""

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from games.board import Board
from games.codes import Codes, Flags, Indices
from games.game import BoardGame, LineGame
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


class CellRule:
    """A rule that allows some free cells to be marked."""

    __slots__ = ("_cells", "_game", "line", "text")
    stores_answers = False

    def __init__(self, game: LineGame, text: str, line: int, cells: Cells) -> None:
        self.text = text
        self.line = line
        self._game = game
        self._cells = cells

    def allowed(self, view: View) -> Allowed:
        """Every move that puts a mark on a cell that the rule names."""
        cells = self._cells(Marked.of(self._game, view.codes, view.seat))
        return Allowed(*self._game.moves_onto(view.codes, cells))


class FirstOfRule:
    """A rule that names cells in order, and allows the first of them on which a mark can be put."""

    __slots__ = ("_cells", "_game", "line", "text")
    stores_answers = False

    def __init__(self, game: LineGame, text: str, line: int, cells: Sequence[int]) -> None:
        self.text = text
        self.line = line
        self._game = game
        self._cells = tuple(cells)

    def allowed(self, view: View) -> Allowed:
        """The move onto the first of the cells that can be marked."""
        chosen = np.full(len(view), NO_MOVE, dtype=np.intp)
        for cell in self._cells:
            waiting = np.flatnonzero(chosen == NO_MOVE)
            onto = np.full(len(waiting), 1 << cell, dtype=np.uint64)
            place, move = self._game.moves_onto(view.codes[waiting], onto)
            chosen[waiting[place]] = move
        found = np.flatnonzero(chosen != NO_MOVE)
        return Allowed(found, chosen[found].astype(np.uint16))


def complete_line(game: LineGame) -> Cells:
    """A cell that completes a line of one's own."""
    return lambda view: look.threat_cells(game.lines, view.mine, view.free)


def block_line(game: LineGame) -> Cells:
    """A cell that would complete a line of the visitor's."""
    return lambda view: look.threat_cells(game.lines, view.visitors, view.free)


def make_double_threat(game: LineGame) -> Cells:
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


WAYS: Mapping[str, Way] = {
    "occupying": lambda game, view, cells: cells,
    "occupying_only": lambda game, view, cells: look.only_one(cells),
    "clearing": _clearing,
    "any_threat": _any_threat,
    "safe_threat": _safe_threat,
    "clearing_threat": lambda game, view, cells: (
        _any_threat(game, view, cells) & _clearing(game, view, cells)
    ),
    "occupying_threat": lambda game, view, cells: _any_threat(game, view, cells) & cells,
}
"""The ways to stop a double threat that a sheet can name."""
USUAL_WAYS = (("clearing", "safe_threat"), ("occupying",))
"""What *stop a double threat* means when no way is named: clearing it or a safe threat, else occupying it."""


def stop_double_threat(game: LineGame, ways: Sequence[Sequence[str]]) -> Cells:
    """Where the visitor has a double-threat cell: the cells of the first group of ways that allows any."""

    def cells(view: Marked) -> Codes:
        theirs = look.double_threat_cells(game.lines, view.visitors, view.free)
        found = np.zeros_like(theirs)
        concerned = np.nonzero(theirs)[0]
        for group in ways:
            part = view.part(concerned)
            here = np.zeros(len(concerned), dtype=np.uint64)
            for way in group:
                here |= WAYS[way](game, part, theirs[concerned]) & part.free
            found[concerned] = here
            concerned = concerned[here == _NONE]
        return found

    return cells


def one_of(cells: Sequence[int]) -> Cells:
    """Any of these cells."""
    union = np.uint64(sum(1 << cell for cell in set(cells)))
    return lambda view: np.full(len(view), union)


def opposite_corners(board: Board) -> list[tuple[int, int]]:
    """Each corner with the one opposite to it, where there are both."""
    across = ((corner, board.opposite(corner)) for corner in board.groups()["corners"])
    return [(corner, other) for corner, other in across if other is not None]


def opposite_corner(board: Board) -> Cells:
    """A corner opposite to any corner that the visitor holds."""
    pairs = opposite_corners(board)

    def opposite(view: Marked) -> Codes:
        found = np.zeros(len(view), dtype=np.uint64)
        for corner, other in pairs:
            found |= (view.visitors >> np.uint64(other) & np.uint64(1)) << np.uint64(corner)
        return found

    return opposite


class Picture:
    """A whole board drawn with signs, as it must be found: sets of one's own, the visitor's and free cells."""

    __slots__ = ("free", "mine", "target", "visitors")

    def __init__(self, mine: int, visitors: int, free: int, target: int) -> None:
        self.mine = mine
        self.visitors = visitors
        self.free = free
        self.target = target

    def image(self, cell_images: Sequence[int]) -> "Picture":
        """The picture with every cell gone where `cell_images` says."""

        def moved(cells: int) -> int:
            return sum(1 << image for cell, image in enumerate(cell_images) if cells >> cell & 1)

        return Picture(moved(self.mine), moved(self.visitors), moved(self.free), moved(self.target))

    def key(self) -> tuple[int, int, int, int]:
        """What makes two pictures the same."""
        return self.mine, self.visitors, self.free, self.target

    def matches(self, view: Marked) -> Flags:
        """In which positions the picture is found."""
        free = np.uint64(self.free | self.target)
        mine, visitors = np.uint64(self.mine), np.uint64(self.visitors)
        found: Flags = view.mine & mine == mine
        found &= view.visitors & visitors == visitors
        found &= view.free & free == free
        return found


def picture_rule(game: LineGame, picture: Picture, *, fixed: bool) -> Cells:
    """The target of the picture wherever it is found, turned in every way that the game allows unless fixed."""
    images = [picture.image(turn) for turn in game.cell_images[: 1 if fixed else None]]
    different = list({image.key(): image for image in images}.values())

    def cells(view: Marked) -> Codes:
        found = np.zeros(len(view), dtype=np.uint64)
        for image in different:
            found |= np.where(image.matches(view), np.uint64(image.target), _NONE)
        return found

    return cells
