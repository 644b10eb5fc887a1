"""`solve`: the value and distance of a game, alone or under house rules, and the counts that belong to it."""

from collections.abc import Callable

import numpy as np

from games.codes import (
    DRAW,
    FIRST,
    RESULTS,
    SECOND,
    UNFINISHED,
    Codes,
    Flags,
    Indices,
    MoveList,
    by_parent,
    player_named,
    win_of,
)
from games.game import Game
from games.house import HouseRules
from games.housed import HousedGame
from solver.engines import solve_any
from solver.run import Run
from solver.scores import SolvedScores
from solver.solved import Solved, start_values
from solver.tally import Tally, tally

Value = str | int
"""`first`, `second` or `draw`, or a difference of scores."""
SMALL = 200_000
"""Positions up to which counts cost next to nothing, so that they are given without being asked for."""


class Solution:
    """A solved game: every position that can arise, with its value and distance.

    solved: the game as it is played, under its house rules if there are any; fair: the same without them
    (the same object where there are none); other: the fair game when the second player begins, where that matters.
    seat: the machine's, which matters only under house rules.
    """

    __slots__ = ("fair", "game", "house", "other", "seat", "solved")

    def __init__(
        self,
        game: Game,
        house: HouseRules | None,
        seat: int,
        solver: Callable[..., Solved | SolvedScores],
    ) -> None:
        self.game = game
        self.house = house
        self.seat = seat
        self.fair = solver(game, None)
        self.solved = self.fair if house is None else solver(HousedGame(game, house, seat), None)
        self.other = None if game.other_start is None else solver(game, game.other_start)

    @property
    def value(self) -> Value:
        """`first`, `second` or `draw` under best play; in a score game the difference to come, first minus second."""
        return _value(self.solved)

    @property
    def fair_value(self) -> Value:
        """The value without house rules."""
        return _value(self.fair)

    @property
    def value_if_second_begins(self) -> Value | None:
        """The fair value when the second player moves first; None where that is the same game mirrored."""
        return None if self.other is None else _value(self.other)

    @property
    def distance(self) -> int | None:
        """Plies to the end under best play; None for a draw."""
        return None if isinstance(self.solved, SolvedScores) else start_values(self.solved)[1]

    @property
    def positions(self) -> int:
        """How many positions can arise, finished ones included."""
        return self.solved.positions

    @property
    def gives_game_away(self) -> bool:
        """Whether the house rules let the visitor win a game that the machine would not lose in fair play."""
        visitor = 1 - self.seat
        return _winner(self.value) == visitor != _winner(self.fair_value)

    def counts(self, run: Run | None = None) -> Tally:
        """Positions by ply and up to symmetry, endings by result, lines of play.

        Raises solver.run.TooMuchMemory where the run may not use what that takes.
        """
        return tally(self.solved, run)

    def best_line(self) -> list[str]:
        """The moves of best play from the start to the end of a game that is won; nothing for a draw.

        Where house rules give the game away the machine plays what fair play would hold for as long as it can, so that
        the line shows the wrong input that wins.
        """
        if isinstance(self.solved, SolvedScores):
            return []
        game, moves = self.solved.game, []
        at: Codes = np.array([self.solved.start], dtype=np.uint64)
        left = self.distance
        while left and game.ending(at)[0] == UNFINISHED:
            left -= 1
            options = by_parent(game.moves(at))
            values = self.solved.look_up(options.child)
            wanted = (values.distance == left) & (values.value == self.solved.look_up(at).value[0])
            best = self._shown_first(options, np.flatnonzero(wanted))
            moves.append(game.move_names[options.move[best]])
            at = options.child[best : best + 1]
        return moves

    def _shown_first(self, options: MoveList, best: Indices) -> int:
        """Which of equally good moves a line shows: the least, but of the machine's one that fair play would hold."""
        after = options.child[best]
        if self.gives_game_away and self.solved.game.mover(after)[0] != self.seat:
            held = self._held_in_fair_play(after)
            best = best[held] if held.any() else best
        return int(best[0])

    def _held_in_fair_play(self, codes: Codes) -> Flags:
        """Which positions (n,) the machine does not lose in fair play; none where some cannot arise in it."""
        assert isinstance(self.solved.game, HousedGame)
        assert not isinstance(self.fair, SolvedScores)
        try:
            values = self.fair.look_up(self.solved.game.fair_codes(codes)).value
        except KeyError:
            return np.zeros(len(codes), dtype=bool)
        held: Flags = values != win_of(1 - self.seat)
        return held


def _value(solved: Solved | SolvedScores) -> Value:
    return solved.at_start if isinstance(solved, SolvedScores) else start_values(solved)[0]


def _winner(value: Value) -> int | None:
    """Which player a value favours, by number; None for a draw."""
    if isinstance(value, int):
        return None if value == 0 else FIRST if value > 0 else SECOND
    return None if value == RESULTS[DRAW] else player_named(value)


def solve(
    game: Game,
    house: HouseRules | None = None,
    seat: int = SECOND,
    solver: Callable[..., Solved | SolvedScores] = solve_any,
) -> Solution:
    """Solve a game strongly: value and distance for every position that can arise.

    Under `house` rules the machine sits in `seat` (FIRST or SECOND) and the fair value is kept beside.
    `solver` is called with a game of any kind, and a start or None for the game's own; it may be `solve_any` with
    options (functools.partial), or one that keeps results.  Raises solver.run.TooMuchMemory where the
    memory does not do.
    """
    return Solution(game, house, seat, solver)
