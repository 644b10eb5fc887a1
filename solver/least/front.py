"""The first part of a large game alone: what it needs at least, all that comes later needs as well.

The relaxation of tens of thousands of boards takes longer than anybody waits; that of the boards that come first takes
seconds.  Whatever strategy holds the claim stores an answer for each of these that comes to the machine, so a bound for
them alone is a bound for all.
"""

import math
from collections.abc import Callable

import numpy as np

from games.codes import Flags, distinct
from solver.graph import reach
from solver.least.bound import Prover
from solver.least.choices import Choices
from solver.least.model import model_of
from solver.least.part import part

FIRST_MANY = 1_000
"""How many states are looked at for a bound at first; then twice as many, and so on as long as there is time."""


def front_bound(
    choices: Choices, figure: int, left: Callable[[], float], goes_on: Callable[[int], bool]
) -> int:
    """What is proved of the largest part for which there is time, for all strategies at once; `figure` at most.

    left: the seconds that are left; goes_on: told the bound so far, and whether to go on.  The first part is always
    gone through to its end, however busy the machine is: that takes some tenths of a second.
    """
    bound, most = 0, FIRST_MANY
    while True:
        model = model_of(front(choices, most))
        prover = Prover(model, figure, left=left if most > FIRST_MANY else lambda: math.inf)
        bound = max(bound, model.at_any_rate(), prover.run(0.0).bound)
        if bound >= figure or most >= len(choices.states) or not goes_on(bound) or not left():
            return min(bound, figure)
        most *= 2


def front(choices: Choices, most: int) -> Choices:
    """Only the `most` states that come first, counted in picks; all their picks stay.

    What these lead to beyond them is not asked for.
    """
    inside = _first_states(choices, most)
    picks = np.zeros(len(choices.pick_board), dtype=bool)
    picks[choices.step_pick[inside[choices.step_state]]] = True
    return part(choices, inside, picks)


def _first_states(choices: Choices, most: int) -> Flags:
    """The `most` states (s,) that come after the fewest picks; of those alike in that the first."""
    steps = np.searchsorted(choices.step_state, np.arange(len(choices.states) + 1)).astype(np.intp)
    inside = np.zeros(len(choices.states), dtype=bool)
    frontier = distinct(choices.roots)
    while len(frontier):
        frontier = frontier[: most - inside.sum()]
        inside[frontier] = True
        after = distinct(choices.follow[reach(reach(frontier, steps), choices.first)])
        frontier = after[~inside[after]]
    return inside
