"""The positions that play can reach, and the moves between them, as arrays.

`explore` goes breadth first over whole frontiers: every frontier is one array, so one code path serves a
3x3 board and millions of positions.
"""

from collections.abc import Callable
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from games.codes import UNFINISHED, Bytes, Codes, Indices, MoveIds, MoveList, distinct
from games.game import Game
from solver.progress import Report, counted

MOST_POSITIONS = 5_000_000
"""Where exploring stops unless told otherwise: about 2 GB, which a classroom machine can spare."""

_Numbers = TypeVar("_Numbers", bound=np.generic)
Successors = Callable[[Codes], MoveList]
"""The moves to follow from an array of unfinished positions."""


class Graph:
    """Positions sorted by code, and the moves between them sorted by parent, then move.

    codes: (n,) Codes; ply: (n,) first ply on which each is reached; mover, ending: (n,) Bytes;
    parent, child: (m,) places in `codes`; move: (m,) MoveIds;
    first_edge: (n + 1,), the moves of position i are ``first_edge[i]:first_edge[i + 1]``.
    """

    __slots__ = ("child", "codes", "ending", "first_edge", "game", "move", "mover", "parent", "ply", "start")

    def __init__(
        self,
        game: Game,
        start: int,
        codes: Codes,
        ply: Indices,
        parent: Indices,
        move: MoveIds,
        child: Indices,
    ) -> None:
        self.game = game
        self.codes = codes
        self.ply = ply
        self.mover: Bytes = game.mover(codes)
        self.ending: Bytes = game.ending(codes)
        self.parent = parent
        self.move = move
        self.child = child
        self.first_edge: Indices = np.searchsorted(parent, np.arange(len(codes) + 1)).astype(np.intp)
        self.start = int(np.searchsorted(codes, np.uint64(start)))

    def __len__(self) -> int:
        return len(self.codes)

    def places(self, codes: Codes) -> Indices:
        """Where these positions stand; every one of them must have been reached."""
        places = np.searchsorted(self.codes, codes)
        found = places < len(self.codes)
        found[found] = self.codes[places[found]] == codes[found]
        if not found.all():
            raise KeyError(f"position {int(codes[~found][0]):#x} was never reached")
        return places.astype(np.intp)

    def edges_of(self, place: int) -> range:
        """The numbers of the moves of one position."""
        return range(int(self.first_edge[place]), int(self.first_edge[place + 1]))

    def edges_into(self) -> tuple[Indices, Indices]:
        """The moves sorted by child, and for each position where its own begin: (m,) and (n + 1,)."""
        order = np.argsort(self.child, kind="stable")
        first = np.searchsorted(self.child[order], np.arange(len(self) + 1))
        return order.astype(np.intp), first.astype(np.intp)


class TooLarge(Exception):
    """There are more positions than the limit allows; `found` says how many had been met by then."""

    def __init__(self, found: int, limit: int) -> None:
        self.found = found
        self.limit = limit
        super().__init__(f"more than {limit:,} positions can arise ({found:,} were met before stopping)")


def explore(
    game: Game,
    successors: Successors | None = None,
    report: Report | None = None,
    limit: int = MOST_POSITIONS,
    start: int | None = None,
) -> Graph:
    """Every position that can be reached from the start when the moves of `successors` are followed.

    Without `successors` these are the game's own moves.  Raises TooLarge beyond `limit` positions.
    """
    follow = successors or game.moves
    first = game.start if start is None else start
    frontier = np.array([first], dtype=np.uint64)
    known, layers = frontier, [frontier]
    edges: list[tuple[Codes, MoveIds, Codes]] = []
    while len(frontier):
        open_ = frontier[game.ending(frontier) == UNFINISHED]
        parent, move, child = follow(open_)
        edges.append((open_[parent], move, child))
        frontier = without(distinct(child), known)
        known = np.sort(np.concatenate([known, frontier]))
        layers.append(frontier)
        if len(known) > limit:
            raise TooLarge(len(known), limit)
        if report is not None:
            report(counted(len(layers) - 1, len(known)))
    ply = np.empty(len(known), dtype=np.intp)
    for number, layer in enumerate(layers):
        ply[np.searchsorted(known, layer)] = number
    return _assemble(game, first, known, ply, edges)


def without(numbers: npt.NDArray[_Numbers], known: npt.NDArray[_Numbers]) -> npt.NDArray[_Numbers]:
    """Those of some numbers that are not among the known ones, which are sorted; some are known if there are numbers.

    As `numpy.setdiff1d`, which takes seconds for a million numbers in regular steps.
    """
    places = np.minimum(np.searchsorted(known, numbers), len(known) - 1)
    new: npt.NDArray[_Numbers] = numbers[known[places] != numbers]
    return new


def _assemble(
    game: Game, start: int, known: Codes, ply: Indices, edges: list[tuple[Codes, MoveIds, Codes]]
) -> Graph:
    """Turn moves between codes into moves between places, sorted by parent."""
    parent = np.searchsorted(known, np.concatenate([part[0] for part in edges])).astype(np.intp)
    child = np.searchsorted(known, np.concatenate([part[2] for part in edges])).astype(np.intp)
    move = np.concatenate([part[1] for part in edges])
    order = np.lexsort((move, parent))
    return Graph(game, start, known, ply, parent[order], move[order], child[order])


def reach(starts: Indices, first: Indices) -> Indices:
    """The numbers of all moves of some positions, given where each position's moves begin."""
    counts = first[starts + 1] - first[starts]
    ends = np.cumsum(counts)
    within = np.arange(ends[-1] if len(ends) else 0) - np.repeat(ends - counts, counts)
    numbers: Indices = np.repeat(first[starts], counts) + within
    return numbers
