"""Games in which moves score: the difference still to come, worked out from the last moves back to the first.

Such a game cannot repeat.  `solve_scores` solves a whole game ply by ply, as `solver.layers` does for games
that are won and lost; `differences` does it for a graph that is at hand, such as a strategy's walk.
"""

from collections.abc import Iterator
from functools import partial

import numpy as np
import numpy.typing as npt

from games.codes import DRAW, FIRST, UNFINISHED, Bytes, Codes, Indices
from games.game import Gains, ScoreGame, scored
from solver.counts import rounds
from solver.forward import forward
from solver.graph import Graph, reach
from solver.layers import work_back as work_back_layers
from solver.places import places, places_of_children
from solver.progress import Report
from solver.run import MEMORY, NoJournal, Run, bytes_held

Differences = npt.NDArray[np.int16]
"""What is still to come in each position, the first player's gains minus the second's, shape (n,).

A move gains at most 127, and no line of play has 250 moves that gain so much in a game that fits a code.
"""
MIDDLE = 32
"""The bit that stands for a total of 0: no game that fits a code has so many boxes."""
LEAST = -32_768
"""Less than any difference."""
BYTES_A_MOVE = 72
"""For each move of the positions that are worked on at a time: more than elsewhere, since it is asked what it gains."""


class SolvedScores:
    """The positions of each ply, sorted, and the difference to come in each under best play.

    codes[p]: (n_p,) the positions that can be reached after p plies; differences[p]: (n_p,) Differences.
    """

    def __init__(
        self, game: ScoreGame, start: int, codes: list[Codes], differences: list[Differences]
    ) -> None:
        self.game = game
        self.start = start
        self.codes = codes
        self.differences = differences

    @property
    def held(self) -> int:
        """How many bytes the result takes; what is mapped from a file takes none."""
        return bytes_held(self.codes) + bytes_held(self.differences)

    @property
    def largest_ply(self) -> int:
        """How many positions are first reached on one ply, at most."""
        return max(map(len, self.codes))

    @property
    def positions(self) -> int:
        """How many positions can arise, final ones included."""
        return sum(map(len, self.codes))

    def plies(self) -> Iterator[Codes]:
        """For each ply the positions that are reached on it: in such a game each is reached on one ply alone."""
        yield from self.codes

    def look_up(self, codes: Codes) -> Differences:
        """The difference to come in positions that can arise; KeyError if one of them cannot."""
        difference = np.zeros(len(codes), dtype=np.int16)
        missing = np.arange(len(codes))
        for layer, known in zip(self.codes, self.differences, strict=True):
            at, found = places(layer, codes[missing])
            difference[missing[found]] = known[at[found]]
            missing = missing[~found]
        if len(missing):
            raise KeyError(f"position {int(codes[missing[0]]):#x} cannot arise")
        return difference

    @property
    def at_start(self) -> int:
        """The difference to come at the start: the value of the game."""
        return int(self.differences[0][0])


def solve_scores(
    game: ScoreGame,
    start: int | None = None,
    report: Report | None = None,
    memory: int = MEMORY,
    journal: NoJournal | None = None,
) -> SolvedScores:
    """Solve a score game from its start (its own unless told).

    Raises TooMuchMemory where `memory` bytes do not do.  A `journal` lets a long run be taken up again.
    """
    run = Run(memory, report, journal)
    first = game.start if start is None else start
    plies = forward(game, first, run, BYTES_A_MOVE)
    return SolvedScores(game, first, plies.codes, work_back_layers(plies, partial(_score, game), run))


def _score(game: ScoreGame, following: Codes, known: Differences, codes: Codes) -> Differences:
    """The differences of some positions from those that are known of the layer to which their moves lead."""
    difference = np.zeros(len(codes), dtype=np.int16)
    at = np.flatnonzero(game.ending(codes) == UNFINISHED)
    if len(at):
        unfinished = codes[at]
        sign = _signs(game.mover(unfinished))
        parent, move, child = game.moves(unfinished)
        to_come = game.gains(unfinished[parent], move) + known[places_of_children(following, child)]
        best = np.full(len(at), LEAST, dtype=np.int16)
        np.maximum.at(best, parent, to_come * sign[parent])
        difference[at] = best * sign
    return difference


def differences(graph: Graph) -> Differences:
    """The difference to come when both players play their best; 0 in endings and where no move is followed.

    Raises ValueError if the graph is not that of a score game, or play in it can be endless.
    """
    return work_back(graph, graph.mover)


def sure_differences(graph: Graph, chooser: int) -> Differences:
    """The difference to come when one player (FIRST or SECOND) chooses every move: what the other is sure of."""
    return work_back(graph, np.full(len(graph), chooser, dtype=np.uint8))


def work_back(graph: Graph, chooser: Bytes) -> Differences:
    """The difference to come in every position, given who chooses the move in each: (n,) FIRST or SECOND."""
    order = rounds(graph)
    if order is None:
        raise ValueError("play can be endless, so there is no difference to come")
    gains, signs = gains_of(graph), _signs(chooser)
    difference = np.zeros(len(graph), dtype=np.int16)
    for ready in reversed(order):  # every move leads to a later round
        open_ = ready[graph.first_edge[ready + 1] > graph.first_edge[ready]]
        if len(open_):
            edges = reach(open_, graph.first_edge)
            to_come = (gains[edges] + difference[graph.child[edges]]) * signs[graph.parent[edges]]
            difference[open_] = np.maximum.reduceat(to_come, _begins(graph, open_)) * signs[open_]
    return difference


def final_totals(graph: Graph) -> set[int]:
    """Every total, first minus second, with which some line ends that nobody loses by a house rule.

    Totals are sets of bits, moved along the moves from round to round; a total stays within half a word.
    """
    order = rounds(graph)
    if order is None:
        raise ValueError("play can be endless, so there are no totals")
    gains = gains_of(graph)
    totals = np.zeros(len(graph), dtype=np.uint64)
    totals[graph.start] = 1 << MIDDLE
    for ready in order:
        edges = reach(ready, graph.first_edge)
        for gain in np.unique(gains[edges]).tolist():
            if abs(gain) > MIDDLE:
                continue  # a lost game has no total
            moved = edges[gains[edges] == gain]
            before = totals[graph.parent[moved]]
            after = before << np.uint64(gain) if gain >= 0 else before >> np.uint64(-gain)
            np.bitwise_or.at(totals, graph.child[moved], after)
    ended = int(np.bitwise_or.reduce(totals[graph.ending == DRAW], initial=np.uint64(0)))
    return {bit - MIDDLE for bit in range(2 * MIDDLE) if ended >> bit & 1}


def gains_of(graph: Graph) -> Gains:
    """What each move of a graph brings at once, (m,).  Raises ValueError if its game is no score game."""
    game = scored(graph.game)
    if game is None:
        raise ValueError(f"{graph.game.name} is no game in which moves score")
    return game.gains(graph.codes[graph.parent], graph.move)


def _begins(graph: Graph, ready: Indices) -> Indices:
    """Where the moves of each of some positions begin, when those of all of them stand one after another."""
    counts = graph.first_edge[ready + 1] - graph.first_edge[ready]
    begins: Indices = np.cumsum(counts) - counts
    return begins


def _signs(chooser: Bytes) -> Differences:
    """1 where the first player chooses, who wants much, and -1 where the second does."""
    return np.where(chooser == FIRST, 1, -1).astype(np.int16)
