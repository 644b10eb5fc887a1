"""The game graph of a small game as a networkx graph: for pictures, for other programs, and for checking the solver.

Nodes are positions and edges are moves, both numbered from 0 and carrying what is known of them as attributes, so
that whoever takes the graph further needs nothing of ours.
"""

from typing import TYPE_CHECKING, Any

import numpy as np

from games.codes import DRAW, FIRST, PLAYERS, RESULTS, UNFINISHED, Codes, Indices, MoveList
from games.game import Game, least_images, scored
from solver.engines import solve_game
from solver.graph import Graph, TooLarge, explore
from solver.progress import Progress
from solver.scores import gains_of, solve_scores

if TYPE_CHECKING:
    import networkx as nx

MOST_DRAWN = 2_000
"""Positions up to which a picture of a graph still helps anybody."""


class TooManyToDraw(TooLarge):
    """A graph of more positions than the limit.

    plies: so many first plies stay within the limit; 0 if none do.
    """

    def __init__(self, found: int, limit: int, plies: int) -> None:
        self.plies = plies
        super().__init__(found, limit)


def network(
    game: Game,
    *,
    plies: int | None = None,
    up_to_symmetry: bool = False,
    limit: int = MOST_DRAWN,
    seat: int = FIRST,
) -> "nx.MultiDiGraph":
    """The positions that can arise and the moves between them, with values under best play.

    Parameters
    ----------
    game
        Any game, also one under house rules or one in which moves score.
    plies
        How many plies to follow from the start; None for all of them.
    up_to_symmetry
        Whether positions that are alike when turned or mirrored are one node: the least of them.  A move then
        leads to the least image of what it makes, and each move of the position shown is an edge of its own.
    limit
        How many positions there may be.
    seat
        Where the machine sits, FIRST or SECOND, for positions as text (``M`` the machine's, ``V`` the visitor's).

    Returns
    -------
    A MultiDiGraph with the attributes `game` (its name), `title`, `start` (a node), `up_to_symmetry` and
    `cut_off` (whether positions on the last ply have moves that are not shown).  Positions are numbered by ply, then
    by code, so the start is node 0.  Attributes of a position:

    * `text`: as people write it;
    * `code`: in hexadecimal, because 64 bits without a sign are a number in neither GraphML nor JSON;
    * `mover`: ``first`` or ``second``, whose turn it is (or would be);
    * `ply`: the first on which it is reached;
    * `ending`: ``unfinished``, ``first``, ``second`` or ``draw``;
    * `value`: ``first``, ``second`` or ``draw`` under best play; where moves score the difference to come, a number;
    * `distance`: plies to the end under best play, only where somebody wins;
    * `goes_on`: whether it has moves that are left out because of `plies`.

    Attributes of a move: `move` (its name), `best` (whether best play can choose it: the winner wins as soon as
    can be, the loser loses as late) and, where moves score, `gain` (first minus second).

    Raises
    ------
    TooManyToDraw
        Beyond `limit` positions.
    solver.graph.TooLarge
        Where the whole game, which must be solved for the values, does not fit in memory.
    """
    graph = _explored(game, plies, limit, up_to_symmetry=up_to_symmetry)
    return _Network(graph, seat, plies).drawn(up_to_symmetry=up_to_symmetry)


class _Follow:
    """The moves to follow, as `explore` asks for them, once a ply: those of the first plies, turned if need be."""

    def __init__(self, game: Game, plies: int | None, *, up_to_symmetry: bool) -> None:
        self._game = game
        self._plies_left = plies
        self._up_to_symmetry = up_to_symmetry

    def __call__(self, codes: Codes) -> MoveList:
        if self._plies_left == 0:
            return self._game.moves(codes[:0])
        if self._plies_left is not None:
            self._plies_left -= 1
        parent, move, child = self._game.moves(codes)
        return MoveList(parent, move, least_images(self._game, child)[0] if self._up_to_symmetry else child)


def _explored(game: Game, plies: int | None, limit: int, *, up_to_symmetry: bool) -> Graph:
    """The positions to show and the moves between them."""
    within = [0]

    def count(progress: Progress) -> None:
        if progress.positions <= limit:
            within.append(progress.done)

    follow = _Follow(game, plies, up_to_symmetry=up_to_symmetry)
    start = np.array([game.start], dtype=np.uint64)
    least = least_images(game, start)[0] if up_to_symmetry else start
    try:
        return explore(game, follow, count, limit, int(least[0]))
    except TooLarge as too_large:
        raise TooManyToDraw(too_large.found, limit, within[-1]) from None


class _Network:
    """A graph on its way from arrays to networkx; arrays are in the order of `graph.codes`."""

    def __init__(self, graph: Graph, seat: int, plies: int | None) -> None:
        self.graph = graph
        self.game = graph.game
        self.order: Indices = np.lexsort((graph.codes, graph.ply))
        self.is_cut = (graph.ending == UNFINISHED) & (graph.ply == plies)
        self.texts = self.game.texts(graph.codes, seat)
        self._find_values()

    def _find_values(self) -> None:
        """Value and distance of each position, and which moves are best."""
        graph = self.graph
        if scored(self.game) is not None:
            difference = solve_scores(self.game).look_up(graph.codes)  # type: ignore[arg-type]
            self.gains: list[int] | None = gains_of(graph).tolist()
            best = np.array(self.gains, dtype=np.intp) + difference[graph.child] == difference[graph.parent]
            self.values: list[str | int] = difference.tolist()
            self.distances: list[int] = [-1] * len(graph)
        else:
            value, distance = (each := solve_game(self.game).look_up(graph.codes)).value, each.distance
            self.gains = None
            same_value = value[graph.parent] == value[graph.child]
            in_time = distance[graph.child] == distance[graph.parent] - 1
            best = same_value & (in_time | (value[graph.parent] == DRAW))
            self.values = [RESULTS[result] for result in value.tolist()]
            self.distances = distance.tolist()
        self.best: list[bool] = best.tolist()

    def drawn(self, *, up_to_symmetry: bool) -> "nx.MultiDiGraph":
        """The networkx graph."""
        import networkx as nx

        network = nx.MultiDiGraph(
            game=self.game.name,
            title=self.game.title,
            start=0,
            up_to_symmetry=up_to_symmetry,
            cut_off=bool(self.is_cut.any()),
        )
        for number, place in enumerate(self.order.tolist()):
            network.add_node(number, **self._of_position(place))
        number_of = np.argsort(self.order)
        ends = zip(number_of[self.graph.parent].tolist(), number_of[self.graph.child].tolist(), strict=True)
        by_number = sorted((*pair, edge) for edge, pair in enumerate(ends))
        for key, (parent, child, edge) in enumerate(by_number):
            network.add_edge(parent, child, key=key, **self._of_move(edge))
        return network

    def _of_position(self, place: int) -> dict[str, Any]:
        distance = self.distances[place]
        return {
            "text": self.texts[place],
            "code": hex(int(self.graph.codes[place])),
            "mover": PLAYERS[self.graph.mover[place]],
            "ply": int(self.graph.ply[place]),
            "ending": RESULTS[self.graph.ending[place]],
            "value": self.values[place],
            **({} if distance < 0 else {"distance": distance}),
            "goes_on": bool(self.is_cut[place]),
        }

    def _of_move(self, edge: int) -> dict[str, Any]:
        gain = {} if self.gains is None else {"gain": self.gains[edge]}
        return {"move": self.game.move_names[self.graph.move[edge]], "best": self.best[edge], **gain}
