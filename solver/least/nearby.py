"""A better strategy near a good one: most boards keep their picks, and on some the best picks are found anew, exactly.

Exchanging one pick after the other sticks where several have to change together.  With the other boards settled the
integer program is small, and HiGHS ends with it in a second or so.  (Large neighbourhood search; common practice.)
"""

from collections.abc import Set

import numpy as np

from games.codes import Flags, Indices
from solver.least.choices import Choices
from solver.least.highs import minimise
from solver.least.model import model_of
from solver.least.narrow import restricted
from solver.least.start import Start

SEED = 1
FEWEST, FIRST_MANY = 8, 30
"""How many boards are chosen anew at a time: never fewer, and at first."""
QUICK, LONG = 1.0, 10.0
"""Seconds: what ends sooner is tried with more boards next; what takes longer is broken off, and tried with fewer."""


class Nearby:
    """Makes a strategy better step by step; only where every board is one state, as for `Start`."""

    def __init__(self, start: Start, picks: Indices) -> None:
        """start: knows which picks may be made; picks: those of the strategy to begin with, one for each board met."""
        self.choices = start.choices
        self.start = start
        self.made = [picks_of[0] if picks_of else -1 for picks_of in start.picks]
        self.many = FIRST_MANY
        self.random = np.random.default_rng(SEED)
        self._settle(picks)

    def step(self, seconds: float) -> Indices:
        """Choose anew on some boards; the picks of the best strategy so far."""
        fewer = restricted(self.choices, self._kept())
        found = minimise(model := model_of(fewer), min(seconds, LONG))
        is_done = found.point is not None and int(model.cost @ found.point) <= found.bound + 0.5
        self.many = max(FEWEST, self.many * 9 // 8 if is_done else self.many * 2 // 3)
        if found.point is not None and int(model.cost @ found.point) <= len(self.met):
            self._settle(_named(self.choices, fewer, np.flatnonzero(found.point[model.pick] > 0)))
        return self.picks()

    def picks(self) -> Indices:
        """The picks of the best strategy so far, one for each board that comes."""
        return np.array([self.made[board] for board in sorted(self.met)], dtype=np.intp)

    def _settle(self, picks: Indices) -> None:
        """Make some picks from now on."""
        for pick in picks.tolist():
            self.made[self.choices.pick_board[pick]] = pick
        self.met = self.start.met(self.made)

    def _kept(self) -> Flags:
        """The picks (p,) that may be made: on boards that come only the one made, unless it is chosen anew."""
        kept = np.zeros(len(self.choices.pick_board), dtype=bool)
        again = self._again()
        for board, picks in enumerate(self.start.picks):
            kept[[self.made[board]] if board in self.met and board not in again else picks] = True
        return kept

    def _again(self) -> Set[int]:
        """The boards to choose anew: one that comes and those nearest to it, along what leads to what."""
        near: dict[int, list[int]] = {board: [] for board in self.met}
        for board in sorted(self.met):
            for after in self.start.after[self.made[board]]:
                near[board].append(after)
                near[after].append(board)
        middle = self.random.choice([board for board in sorted(self.met) if len(self.start.picks[board]) > 1])
        found = dict.fromkeys([int(middle)])
        waiting = [int(middle)]
        while waiting and len(found) < self.many:
            for other in near[waiting.pop(0)]:
                if other not in found and len(found) < self.many:
                    found[other] = None
                    waiting.append(other)
        return found.keys()


def _named(choices: Choices, fewer: Choices, picks: Indices) -> Indices:
    """The picks of fewer choices as they are numbered among all."""
    width = len(choices.game.move_names)
    board = np.searchsorted(choices.boards, fewer.boards)[fewer.pick_board[picks]]
    every = choices.pick_board * width + choices.pick_move
    return np.searchsorted(every, board * width + fewer.pick_move[picks]).astype(np.intp)
