"""The search where there are too many boards for one relaxation of all: a good strategy, and a bound for a part.

The part is what comes first (`solver.least.front`); for it a bound is proved as for any other program.
"""

import numpy as np

from solver.least.choices import Choices
from solver.least.clock import Clock
from solver.least.front import front_bound
from solver.least.search import PROVING, SEARCHING, Best
from solver.least.start import Start
from solver.least.stopped import NotFound

MOST_STATES = 10_000
"""With more states a game is large: its relaxation takes minutes."""
SHARE_OF_START = 0.6
"""Of the time given, the part after which looking for a good strategy ends at the latest."""


def is_large(choices: Choices) -> bool:
    """Whether there are too many boards for one relaxation, and every board is one state."""
    return len(choices.states) > MOST_STATES and Start.serves(choices)


class LargeSearch:
    """Finds few answers of a large game, and how many it takes at least for what comes first."""

    def __init__(self, choices: Choices, clock: Clock) -> None:
        self.choices, self.clock = choices, clock

    def run(self) -> Best:
        """Search and prove; raises NotFound if there was no time to find anything."""
        picks = Start(self.choices, np.ones(len(self.choices.pick_board), dtype=bool)).run(
            self.clock.left(SHARE_OF_START), heard=lambda best: self.clock.tell(SEARCHING, best, 0)
        )
        if picks is None:
            raise NotFound(0)
        cost = len(picks)
        bound = front_bound(
            self.choices, cost, self.clock.left, lambda bound: self.clock.tell(PROVING, cost, bound)
        )
        made = np.zeros(len(self.choices.pick_board), dtype=bool)
        made[picks] = True
        return Best(made, bound, bound, 1)
