"""Solve a game in which positions can come back: explore everything, then work back by counted successors."""

from collections.abc import Iterator

from games.codes import Codes
from games.game import Game
from solver.graph import MOST_POSITIONS, Graph, explore
from solver.progress import Report
from solver.values import Values, best_play


class Loops:
    """A solved graph of positions: see `solver.solved.Solved`."""

    def __init__(self, graph: Graph) -> None:
        self.graph = graph
        self.values = best_play(graph)
        self.game = graph.game
        self.start = int(graph.codes[graph.start])
        self.positions = len(graph)

    def look_up(self, codes: Codes) -> Values:
        """The values of positions that can arise; KeyError if one of them cannot."""
        at = self.graph.places(codes)
        return Values(self.values.value[at], self.values.distance[at])

    def plies(self) -> Iterator[Codes]:
        """For each ply the positions that are first reached on it."""
        for ply in range(int(self.graph.ply.max()) + 1):
            yield self.graph.codes[self.graph.ply == ply]


def solve_loops(
    game: Game, start: int | None = None, report: Report | None = None, limit: int = MOST_POSITIONS
) -> Loops:
    """Solve any game, also one in which positions come back.  Raises TooLarge beyond `limit` positions."""
    return Loops(explore(game, report=report, limit=limit, start=start))
