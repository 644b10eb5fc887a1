"""The fewest answers as an integer program in whole numbers: what must be minimised, and nothing about how.

Variables, each 0 or 1: a board is stored, a pick is made, a state is met; what comes as one is one variable
(`solver.least.along`).  Minimise the boards stored, where
    a board that is stored has a pick;
    a state to which a pick leads for certain from a state that is met is met (over all picks of a board that lead
        there at once: only one of them is made, which makes the relaxation much tighter);
    a pick that gives the claim away in a state is not made while that state is met;
    the roots are met, and some play that never ends is not picked whole.
What comes whatever is picked is fixed from the start.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import Flags, Indices, distinct
from solver.graph import reach
from solver.least.along import one_variable, sure_links
from solver.least.choices import Choices
from solver.least.narrow import always_met

Whole = npt.NDArray[np.int64]


class Model(NamedTuple):
    """Minimise cost . v where matrix . v >= at_least and lower <= v <= upper, v in whole numbers.

    The matrix is kept row by row: row i has `value` at `column` in ``row[i]:row[i + 1]``.
    cost: (v,) how many boards are stored where a variable is 1.
    board, pick: (boards,) and (picks,) the variable of each; pick_board: (picks,) the board of each pick.
    """

    row: Indices
    column: Indices
    value: Whole
    at_least: Whole
    lower: Whole
    upper: Whole
    cost: Whole
    board: Indices
    pick: Indices
    pick_board: Indices

    def at_any_rate(self) -> int:
        """How many boards are stored whatever is picked."""
        return int(self.cost @ self.lower)

    def point(self, picks: Indices) -> Whole:
        """The point (v,) where just these picks are made, one for each board that is stored and is one state."""
        point = self.lower.copy()
        point[self.board[self.pick_board[picks]]] = point[self.pick[picks]] = 1
        return point

    def allows(self, point: Whole) -> bool:
        """Whether a point (v,) keeps all bounds and rows."""
        reached = np.zeros(len(self.at_least), dtype=np.int64)
        rows = np.repeat(np.arange(len(self.at_least)), np.diff(self.row))
        np.add.at(reached, rows, self.value * point[self.column])
        within = (self.lower <= point) & (point <= self.upper)
        return bool(within.all() and (reached >= self.at_least).all())


class _Rows:
    """Gathers the rows of a model, many alike at a time, as triples of row, column and value."""

    def __init__(self) -> None:
        self.count = 0
        self.parts: list[tuple[Indices, Indices, Whole]] = []
        self.at_least: list[Whole] = []

    def add(self, count: int, at_least: int, *entries: tuple[Indices, Indices, int]) -> None:
        """`count` rows; each entry: rows among these (from 0), columns, and the value that stands there."""
        for rows, columns, value in entries:
            self.parts.append((rows + self.count, columns, np.full(len(rows), value, dtype=np.int64)))
        self.at_least.append(np.full(count, at_least, dtype=np.int64))
        self.count += count

    def sorted(self) -> tuple[Indices, Indices, Whole, Whole]:
        """Row bounds, columns, values and least sums; each row once, and none that says nothing."""
        row, column, value = (np.concatenate([part[i] for part in self.parts]) for i in range(3))
        width = int(column.max(initial=0)) + 1
        entries, place = np.unique(row * width + column, return_inverse=True)
        sums = np.zeros(len(entries), dtype=np.int64)
        np.add.at(sums, place, value)
        entries, sums = entries[sums != 0], sums[sums != 0]
        row, column = np.divmod(entries, width)
        at_least = np.concatenate(self.at_least)
        bounds = np.searchsorted(row, np.arange(self.count + 1))
        kept: dict[tuple[bytes, bytes, int], int] = {}
        for number in range(self.count):
            inside = slice(bounds[number], bounds[number + 1])
            if inside.start < inside.stop or at_least[number] > 0:
                said = (column[inside].tobytes(), sums[inside].tobytes(), int(at_least[number]))
                kept.setdefault(said, number)
        which = np.array(list(kept.values()), dtype=np.intp)
        entries = reach(which, bounds)
        lengths = np.diff(bounds)[which]
        return (
            np.concatenate([[0], np.cumsum(lengths)]).astype(np.intp),
            column[entries],
            sums[entries],
            at_least[which],
        )


def model_of(choices: Choices, loops: Sequence[Sequence[int]] = ()) -> Model:
    """The integer program for some choices; `loops` are sets of picks that must not all be made."""
    met = always_met(choices)
    board, pick, state = one_variable(choices, met)
    variables = int(max(array.max(initial=-1) for array in (board, pick, state))) + 1
    cost = np.bincount(board, minlength=variables).astype(np.int64)
    lower = np.zeros(variables, dtype=np.int64)
    lower[state[met]] = lower[board[choices.board[met]]] = 1
    rows = _Rows()
    _add_picks(rows, choices, board, pick)
    _add_links(rows, choices, state, pick, state == board[choices.board], ~met)
    several = np.flatnonzero(state != board[choices.board])
    each = np.arange(len(several))
    rows.add(len(each), 0, (each, board[choices.board[several]], 1), (each, state[several], -1))
    each = np.arange(len(choices.barred_state))
    rows.add(len(each), -1, (each, state[choices.barred_state], -1), (each, pick[choices.barred_pick], -1))
    for loop in loops:
        columns = distinct(pick[list(loop)])
        rows.add(1, 1 - len(columns), (np.zeros(len(columns), dtype=np.intp), columns, -1))
    return Model(*rows.sorted(), lower, np.ones_like(lower), cost, board, pick, choices.pick_board)


def _add_picks(rows: _Rows, choices: Choices, board: Indices, pick: Indices) -> None:
    """A row for each board with several picks."""
    several = np.flatnonzero(np.bincount(choices.pick_board, minlength=len(board)) != 1)
    place = np.full(len(board), -1, dtype=np.intp)
    place[several] = np.arange(len(several))
    picks = np.flatnonzero(place[choices.pick_board] >= 0)
    rows.add(
        len(several),
        0,
        (place[choices.pick_board[picks]], pick[picks], 1),
        (np.arange(len(several)), board[several], -1),
    )


def _add_links(
    rows: _Rows, choices: Choices, state: Indices, pick: Indices, shares: Flags, weighed: Flags
) -> None:
    """A row for each state and each weighed state to which picks lead from there.

    shares: the states (s,) that are the only one of their board: there picks are made only if the state is met.
    """
    states = len(choices.states)
    step, target = sure_links(choices, weighed)
    pairs, link = np.unique(choices.step_state[step] * states + target, return_inverse=True)
    source, target = np.divmod(pairs, states)
    picked = pick[choices.step_pick[step]]
    for which, at_least in ((shares[source], 0), (~shares[source], -1)):
        place = np.cumsum(which) - 1
        chosen = which[link]
        entries = [
            (place[which], state[target[which]], 1),
            (place[link[chosen]], picked[chosen], -1),
        ]
        if at_least:
            entries.append((place[which], state[source[which]], -1))
        rows.add(int(which.sum()), at_least, *entries)
