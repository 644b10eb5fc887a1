"""A good strategy to begin with: the search for the least one ends sooner when it knows a good one.

First a pick on every board as if nothing were shared (the fewest answers below it, counted as in a tree); then one
pick after the other is exchanged as long as that leaves no more answers, with sharing counted as it is.
"""

import heapq
import math
import time
from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from games.codes import Flags, Indices
from solver.least.choices import Choices

SEED = 1
TINY = 1e-6
PATIENCE = 20
"""How many rounds without a gain are made before the search ends."""


class Start:
    """Looks for few answers by exchanging picks; only where every board is one state (see `solver.least.together`)."""

    def __init__(self, choices: Choices, allowed: Flags) -> None:
        """allowed: (p,) the picks that may be made."""
        self.choices = choices
        followers = np.split(choices.board[choices.follow], choices.first[1:-1])
        self.after: list[tuple[int, ...]] = [()] * len(choices.pick_board)
        for pick, boards in zip(choices.step_pick.tolist(), followers, strict=False):
            self.after[pick] = tuple(boards.tolist())
        self.picks: list[list[int]] = [[] for _ in choices.boards]
        for pick in np.flatnonzero(allowed).tolist():
            self.picks[choices.pick_board[pick]].append(pick)
        self.roots = choices.board[choices.roots].tolist()
        self._tree: list[int] | None = None

    @staticmethod
    def serves(choices: Choices) -> bool:
        """Whether these choices are simple enough."""
        return len(choices.boards) == len(choices.states) and not len(choices.barred_pick)

    def run(
        self,
        seconds: float,
        relaxed: npt.NDArray[np.float64] | None = None,
        heard: Callable[[int], bool] = lambda _: True,
    ) -> Indices | None:
        """The best picks found, one for each board that comes; None if there are none that are of use.

        relaxed: how much of each pick (p,) a relaxation takes: its greatest are begun with where it has any.
        heard: told the fewest answers so far, round by round; False ends it.
        """
        end = time.monotonic() + seconds
        made = self._as_if_a_tree()
        if made is None:
            return None
        if relaxed is not None:
            made = self._near(relaxed, made)
        random = np.random.default_rng(SEED)
        best = self.met(made)
        idle = 0
        while idle < PATIENCE and time.monotonic() < end and heard(len(best)):
            before = len(best)
            for board in random.permutation(sorted(best)).tolist():
                if board in best and len(self.picks[board]) > 1:
                    best = self._exchanged(made, board, best, random)
                if time.monotonic() >= end:
                    break
            idle = idle + 1 if len(best) == before else 0
        return _picks(made, best)

    def near(self, relaxed: npt.NDArray[np.float64]) -> Indices | None:
        """The greatest picks of a relaxation, as they are; relaxed as for `run`."""
        tree = self._as_if_a_tree()
        if tree is None:
            return None
        made = self._near(relaxed, tree)
        return _picks(made, self.met(made))

    def _near(self, relaxed: npt.NDArray[np.float64], otherwise: list[int]) -> list[int]:
        """For each board its greatest pick in a relaxation, or another where it has none there."""
        made = list(otherwise)
        for board, picks in enumerate(self.picks):
            if picks:
                greatest = max(picks, key=lambda pick: relaxed[pick])
                if relaxed[greatest] > TINY:
                    made[board] = greatest
        return made

    def _exchanged(self, made: list[int], board: int, met: set[int], random: np.random.Generator) -> set[int]:
        """Take another pick of a board if it leaves no more answers; what is met then."""
        old = made[board]
        for pick in random.permutation(self.picks[board]).tolist():
            if pick == old:
                continue
            made[board] = pick
            now = self.met(made, most=len(met))
            if now:
                return now
        made[board] = old
        return met

    def met(self, made: list[int], most: float = math.inf) -> set[int]:
        """The boards that come when these picks are made; nothing if they are more than `most`."""
        met = set(self.roots)
        waiting = list(met)
        while waiting:
            for board in self.after[made[waiting.pop()]]:
                if board not in met:
                    met.add(board)
                    waiting.append(board)
                    if len(met) > most:
                        return set()
        return met

    def _as_if_a_tree(self) -> list[int] | None:
        """For each board the pick below which a tree has the fewest answers; None where a board has no way to an end.

        Least costs are settled in rising order, so loops do no harm.
        """
        if self._tree is None:
            self._tree = self._settled_in_rising_order()
        return None if self._tree is None else list(self._tree)

    def _settled_in_rising_order(self) -> list[int] | None:
        waiting_for = [len(after) for after in self.after]
        cost_of = [1.0] * len(self.after)
        into: list[list[int]] = [[] for _ in self.picks]
        made = [-1] * len(self.picks)
        queue: list[tuple[float, int]] = []
        for picks in self.picks:
            for pick in picks:
                for follower in self.after[pick]:
                    into[follower].append(pick)
                if not self.after[pick]:
                    heapq.heappush(queue, (1.0, pick))
        while queue:
            cost, pick = heapq.heappop(queue)
            board = int(self.choices.pick_board[pick])
            if made[board] >= 0:
                continue
            made[board] = pick
            for other in into[board]:
                waiting_for[other] -= 1
                cost_of[other] += cost
                if not waiting_for[other]:
                    heapq.heappush(queue, (cost_of[other], other))
        return made if min(made, default=0) >= 0 else self._completed(made)

    def _completed(self, made: list[int]) -> list[int] | None:
        """Where play can stay in a loop for ever, any pick does for a start."""
        for board, picks in enumerate(self.picks):
            if made[board] < 0 and picks:
                made[board] = picks[0]
        return made if all(made[board] >= 0 for board in self.roots) else None


def _picks(made: list[int], met: set[int]) -> Indices:
    return np.array([made[board] for board in sorted(met)], dtype=np.intp)
