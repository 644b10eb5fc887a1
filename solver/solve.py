"""`solve`: the value and distance of a game, alone or under house rules, and the counts that belong to it."""

from games.codes import RESULTS, SECOND, UNFINISHED, win_of
from games.game import Game
from games.house import HouseRules
from games.housed import HousedGame
from solver import counts
from solver.graph import Graph, Report, explore
from solver.values import Values, best_play

SMALL = 200_000
"""Positions up to which counts cost next to nothing, so that they are given without being asked for."""


class Solution:
    """A solved game: every position that can arise, with its value and distance.

    graph, values: the game as it is played, under its house rules if there are any;
    fair: the same without them (the same objects where no wrong input costs anything).
    seat: the machine's, which matters only under house rules.
    """

    __slots__ = ("fair", "fair_values", "game", "graph", "house", "seat", "values")

    def __init__(
        self, game: Game, house: HouseRules | None = None, seat: int = SECOND, report: Report | None = None
    ) -> None:
        self.game = game
        self.house = house
        self.seat = seat
        self.fair: Graph = explore(game, report=report)
        self.fair_values: Values = best_play(self.fair)
        self.graph, self.values = self.fair, self.fair_values
        if house is not None:
            self.graph = explore(HousedGame(game, house, seat), report=report)
            self.values = best_play(self.graph)

    @property
    def value(self) -> str:
        """`first`, `second` or `draw` under best play."""
        return RESULTS[self.values.value[self.graph.start]]

    @property
    def fair_value(self) -> str:
        """The value without house rules."""
        return RESULTS[self.fair_values.value[self.fair.start]]

    @property
    def distance(self) -> int | None:
        """Plies to the end under best play; None for a draw."""
        plies = int(self.values.distance[self.graph.start])
        return None if plies < 0 else plies

    @property
    def positions(self) -> int:
        """How many positions can arise, finished ones included."""
        return len(self.graph)

    @property
    def gives_game_away(self) -> bool:
        """Whether the house rules let the visitor win a game that the machine would not lose in fair play."""
        visitor_wins = win_of(1 - self.seat)
        lost = self.values.value[self.graph.start] == visitor_wins
        return bool(lost and self.fair_values.value[self.fair.start] != visitor_wins)

    def counts(self) -> "Counts":
        """Positions by ply and up to symmetry, endings by result, lines of play."""
        return Counts(self.graph)

    def headline_line(self) -> list[str]:
        """Under house rules: the moves of best play, from the start to the end of a game that is won."""
        moves, at = [], self.graph.start
        while self.graph.ending[at] == UNFINISHED and self.values.distance[at] >= 0:
            edge = next(
                edge
                for edge in self.graph.edges_of(at)
                if self.values.value[self.graph.child[edge]] == self.values.value[at]
                and self.values.distance[self.graph.child[edge]] == self.values.distance[at] - 1
            )
            moves.append(self.graph.game.move_names[self.graph.move[edge]])
            at = int(self.graph.child[edge])
        return moves


class Counts:
    """Counts of a solved game's positions and lines."""

    def __init__(self, graph: Graph) -> None:
        self.by_ply = counts.by_ply(graph)
        self.by_ply_up_to_symmetry = counts.by_ply_up_to_symmetry(graph)
        self.positions_up_to_symmetry = sum(self.by_ply_up_to_symmetry)
        self.endings = counts.endings(graph)
        lines = counts.lines_of_play(graph)
        self.lines_of_play = None if lines is None else lines["all"]
        self.lines_by_result = None if lines is None else {name: lines[name] for name in self.endings}


def solve(
    game: Game, house: HouseRules | None = None, seat: int = SECOND, report: Report | None = None
) -> Solution:
    """Solve a game strongly: value and distance for every position that can arise.

    Under `house` rules the machine sits in `seat` (FIRST or SECOND) and the fair value is kept beside.
    `report` is told how far the work is.  Raises solver.graph.TooLarge where there are too many positions.
    """
    return Solution(game, house, seat, report)
