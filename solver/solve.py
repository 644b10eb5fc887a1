"""`solve`: the value and distance of a game, alone or under house rules, and the counts that belong to it."""

import numpy as np

from games.codes import RESULTS, SECOND, UNFINISHED, Codes, by_parent, win_of
from games.game import Game
from games.house import HouseRules
from games.housed import HousedGame
from solver.engines import MEMORY, solve_game
from solver.graph import Report
from solver.solved import Solved, start_values
from solver.tally import Tally, tally

SMALL = 200_000
"""Positions up to which counts cost next to nothing, so that they are given without being asked for."""


class Solution:
    """A solved game: every position that can arise, with its value and distance.

    solved: the game as it is played, under its house rules if there are any; fair: the same without them
    (the same object where there are none).  seat: the machine's, which matters only under house rules.
    """

    __slots__ = ("fair", "game", "house", "other", "seat", "solved")

    def __init__(
        self,
        game: Game,
        house: HouseRules | None = None,
        seat: int = SECOND,
        report: Report | None = None,
        limit: int | None = None,
        memory: int = MEMORY,
    ) -> None:
        self.game = game
        self.house = house
        self.seat = seat
        self.fair: Solved = solve_game(game, report=report, limit=limit, memory=memory)
        self.solved = self.fair
        if house is not None:
            self.solved = solve_game(HousedGame(game, house, seat), report=report, limit=limit, memory=memory)
        self.other: Solved | None = None
        if game.other_start is not None:
            self.other = solve_game(game, game.other_start, report, limit, memory)

    @property
    def value(self) -> str:
        """`first`, `second` or `draw` under best play."""
        return start_values(self.solved)[0]

    @property
    def fair_value(self) -> str:
        """The value without house rules."""
        return start_values(self.fair)[0]

    @property
    def value_if_second_begins(self) -> str | None:
        """The fair value when the second player moves first; None where that is the same game mirrored."""
        return None if self.other is None else start_values(self.other)[0]

    @property
    def distance(self) -> int | None:
        """Plies to the end under best play; None for a draw."""
        return start_values(self.solved)[1]

    @property
    def positions(self) -> int:
        """How many positions can arise, finished ones included."""
        return self.solved.positions

    @property
    def gives_game_away(self) -> bool:
        """Whether the house rules let the visitor win a game that the machine would not lose in fair play."""
        visitor_wins = RESULTS[win_of(1 - self.seat)]
        return self.value == visitor_wins != self.fair_value

    def counts(self) -> Tally:
        """Positions by ply and up to symmetry, endings by result, lines of play."""
        return tally(self.solved)

    def best_line(self) -> list[str]:
        """The moves of best play from the start to the end of a game that is won; nothing for a draw."""
        game, moves = self.solved.game, []
        at: Codes = np.array([self.solved.start], dtype=np.uint64)
        left = self.distance
        while left and game.ending(at)[0] == UNFINISHED:
            left -= 1
            options = by_parent(game.moves(at))
            values = self.solved.look_up(options.child)
            wanted = (values.distance == left) & (values.value == self.solved.look_up(at).value[0])
            best = int(np.flatnonzero(wanted)[0])
            moves.append(game.move_names[options.move[best]])
            at = options.child[best : best + 1]
        return moves


def solve(
    game: Game,
    house: HouseRules | None = None,
    seat: int = SECOND,
    report: Report | None = None,
    limit: int | None = None,
    memory: int = MEMORY,
) -> Solution:
    """Solve a game strongly: value and distance for every position that can arise.

    Under `house` rules the machine sits in `seat` (FIRST or SECOND) and the fair value is kept beside.
    `report` is told how far the work is.  Raises solver.graph.TooLarge
    where `memory` bytes do not do, or beyond `limit` positions if that is given.
    """
    return Solution(game, house, seat, report, limit, memory)
