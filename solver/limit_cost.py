"""What a limit of plies or of repetitions costs: in positions, and in what a program has to count.

A limit of plies makes the plies part of the position, so a board is as many positions as it can have plies.  A limit of
repetitions adds no position (games/repetition.py), but whoever is to notice that a position has come for the n-th time
has to count how often it has, for every position that can come again.
"""

from typing import NamedTuple

import numpy as np

from games.codes import Codes, distinct
from games.game import Game
from games.housed import HousedGame
from games.limited import LimitedGame
from games.repetition import repetition_limit
from solver.coming import coming_again
from solver.graph import MOST_POSITIONS, Graph, explore
from solver.scores import SolvedScores
from solver.solved import Solved

PLIES, REPETITIONS = "plies", "repetitions"


class LimitCost(NamedTuple):
    """What a limit costs in some positions.

    kind: PLIES or REPETITIONS; limit: how many; bits: of a count; counts: how many counts are kept, one of plies, or
    one for each position that can come again; positions, positions_without: with the limit, and without.
    """

    kind: str
    limit: int
    bits: int
    counts: int
    positions: int
    positions_without: int


def limit_cost(solved: Solved | SolvedScores) -> LimitCost | None:
    """What the limit of a solved game costs; None where it has none, or more positions than a graph may hold."""
    if solved.positions > MOST_POSITIONS:
        return None
    plies = plies_limited(solved.game)
    if plies is not None:
        return cost_of_plies(plies, np.concatenate(list(solved.plies())))
    comings = repetition_limit(solved.game)
    if comings is None:
        return None
    return cost_of_repetitions(comings, explore(solved.game, start=solved.start))


def plies_limited(game: Game) -> LimitedGame | None:
    """The fair game as one with a limit of plies, or None if it has none."""
    fair = game.fair if isinstance(game, HousedGame) else game
    return fair if isinstance(fair, LimitedGame) else None


def cost_of_plies(game: LimitedGame, codes: Codes) -> LimitCost:
    """What counting plies costs in some positions of a game, each given once."""
    without = len(distinct(game.without_plies(codes)))
    return LimitCost(PLIES, game.limit, game.limit.bit_length(), 1, len(codes), without)


def cost_of_repetitions(comings: int, graph: Graph) -> LimitCost:
    """What noticing the n-th coming costs in the positions of a graph: how often each came, counted to n - 1."""
    counts = int(coming_again(graph).sum())
    return LimitCost(REPETITIONS, comings, (comings - 1).bit_length(), counts, len(graph), len(graph))
