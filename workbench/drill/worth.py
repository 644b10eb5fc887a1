"""What positions are worth to the machine under best play, and what each claim asks of a single move of its."""

from collections.abc import Mapping

import numpy as np

from games.codes import DRAW, win_of
from games.housed import HousedGame
from solver.engines import solve_game
from solver.progress import Report
from workbench.drill.faults import Ply


class Worth:
    """The values of a housed game, for the machine in its seat."""

    def __init__(self, game: HousedGame, report: Report | None = None) -> None:
        self._game = game
        self.solved = solve_game(game, report=report)
        self._known: dict[int, tuple[int, int]] = {}

    def of(self, code: int) -> tuple[int, int]:
        """2 for a win, 1 for a draw, 0 for a loss; and the plies to the end, -1 for a draw."""
        if code not in self._known:
            values = self.solved.look_up(np.array([code], dtype=np.uint64))
            value = int(values.value[0])
            worth = 2 if value == win_of(self._game.seat) else int(value == DRAW)
            self._known[code] = (worth, int(values.distance[0]))
        return self._known[code]

    @property
    def seat_is_lost(self) -> bool:
        """Whether the machine's seat is lost from the start."""
        return self.of(self._game.start)[0] == 0

    def breaks(self, claim: str, ply: Ply) -> bool:
        """Whether a move of the machine's breaks `best-value` or `quickest` by itself; nothing breaks `never-loses`."""
        if claim == "never-loses":
            return False
        before, after = self.of(ply.before), self.of(ply.after)
        if after[0] < before[0]:
            return True
        return claim == "quickest" and before[0] == after[0] == 2 and after[1] != before[1] - 1

    def decision(self, claim: str, plies: tuple[Ply, ...]) -> int | None:
        """Which ply of a line (from 0) is the first after which the claim can no longer hold; None if none is."""
        for place, ply in enumerate(plies):
            if not ply.by_machine:
                continue
            if self.breaks(claim, ply):
                return place
            if claim == "never-loses" and self.of(ply.before)[0] > self.of(ply.after)[0] == 0:
                return place
        return None

    def better_moves(self, claim: str, before: int, children: Mapping[int, int]) -> tuple[int, ...]:
        """The moves of a position (each with its child) after which the claim could still hold."""
        had, distance = self.of(before)
        better = []
        for move, child in sorted(children.items()):
            worth, nearer = self.of(child)
            holds = worth > 0 if claim == "never-loses" else worth >= had
            if claim == "quickest" and had == 2:
                holds &= nearer == distance - 1
            if holds:
                better.append(move)
        return tuple(better)

    def finals(self) -> int:
        """How many final positions the game has, under its house rules and whatever the machine plays."""
        return sum(int((self._game.ending(codes) != 0).sum()) for codes in self.solved.plies())
