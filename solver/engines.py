"""Which engine solves a game.  All of them give the same answers; they differ in time and memory."""

from games.game import Game
from solver.graph import MOST_POSITIONS, Report
from solver.layers import solve_by_layers
from solver.loops import solve_loops
from solver.solved import Solved


def solve_game(
    game: Game, start: int | None = None, report: Report | None = None, limit: int = MOST_POSITIONS
) -> Solved:
    """Value and distance of every position that can arise from the start (the game's own unless told).

    Raises solver.graph.TooLarge beyond `limit` positions.
    """
    engine = solve_loops if game.can_repeat else solve_by_layers
    return engine(game, start, report, limit)
