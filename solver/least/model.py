"""The fewest answers as an integer program in whole numbers: what must be minimised, and nothing about how.

Variables, each 0 or 1: a board is stored, a pick is made, a state is met.  Minimise the boards stored, where
    a board that is stored has a pick;
    a state to which a pick leads from a state that is met is met (over all picks of a board that lead there at once:
        only one of them is made, which makes the relaxation much tighter);
    a pick that gives the claim away in a state is not made while that state is met;
    the roots are met, and some play that never ends is not picked whole.
A board with one state shares its variable.  What comes whatever is picked is fixed from the start.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import Indices
from solver.least.choices import Choices
from solver.least.narrow import always_met

Whole = npt.NDArray[np.int64]


class Model(NamedTuple):
    """Minimise cost . v where matrix . v >= at_least and lower <= v <= upper, v in whole numbers.

    The matrix is kept row by row: row i has `value` at `column` in ``row[i]:row[i + 1]``.
    boards, picks: how many variables of each kind, in this order; those of states follow.
    pick_board: (picks,) the board of each pick.
    """

    row: Indices
    column: Indices
    value: Whole
    at_least: Whole
    lower: Whole
    upper: Whole
    boards: int
    picks: int
    pick_board: Indices

    @property
    def cost(self) -> Whole:
        """1 for each board stored."""
        costs = np.zeros(len(self.lower), dtype=np.int64)
        costs[: self.boards] = 1
        return costs

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
        row, column, value = (np.concatenate([part[i] for part in self.parts]) for i in range(3))
        order = np.lexsort((column, row))
        bounds = np.searchsorted(row[order], np.arange(self.count + 1)).astype(np.intp)
        return bounds, column[order], value[order], np.concatenate(self.at_least)


def model_of(choices: Choices, loops: Sequence[Sequence[int]] = ()) -> Model:
    """The integer program for some choices; `loops` are sets of picks that must not all be made."""
    boards, picks = len(choices.boards), len(choices.pick_board)
    single = np.bincount(choices.board, minlength=boards) == 1
    several = np.flatnonzero(~single[choices.board])
    variable = choices.board.copy()
    variable[several] = boards + picks + np.arange(len(several))
    lower = np.zeros(boards + picks + len(several), dtype=np.int64)
    met = always_met(choices)
    lower[variable[met]] = lower[choices.board[met]] = 1
    rows = _Rows()
    every_pick = np.arange(picks)
    rows.add(
        boards, 0, (choices.pick_board, boards + every_pick, 1), (np.arange(boards), np.arange(boards), -1)
    )
    _add_links(rows, choices, variable, ~met)
    rows.add(
        len(several),
        0,
        (np.arange(len(several)), choices.board[several], 1),
        (np.arange(len(several)), variable[several], -1),
    )
    each = np.arange(len(choices.barred_state))
    rows.add(
        len(each),
        -1,
        (each, variable[choices.barred_state], -1),
        (each, boards + choices.barred_pick, -1),
    )
    for loop in loops:
        columns = boards + np.array(sorted(set(loop)), dtype=np.intp)
        rows.add(1, 1 - len(columns), (np.zeros(len(columns), dtype=np.intp), columns, -1))
    return Model(*rows.sorted(), lower, np.ones_like(lower), boards, picks, choices.pick_board)


def _add_links(rows: _Rows, choices: Choices, variable: Indices, weighed: npt.NDArray[np.bool_]) -> None:
    """A row for each state and each state to which picks lead from there."""
    states = len(choices.states)
    step = np.repeat(np.arange(len(choices.step_pick)), np.diff(choices.first))
    step, target = step[weighed[choices.follow]], choices.follow[weighed[choices.follow]]
    pairs, link = np.unique(choices.step_state[step] * states + target, return_inverse=True)
    source, target = np.divmod(pairs, states)
    each = np.arange(len(pairs))
    picked = (link, len(choices.boards) + choices.step_pick[step], -1)
    shares = variable[source] == choices.board[source]  # then the picks are made only if the state is met
    for which, at_least in ((shares, 0), (~shares, -1)):
        place = np.cumsum(which) - 1
        chosen = which[link]
        entries = [
            (place[each[which]], variable[target[which]], 1),
            (place[link[chosen]], picked[1][chosen], -1),
        ]
        if at_least:
            entries.append((place[each[which]], variable[source[which]], -1))
        rows.add(int(which.sum()), at_least, *entries)
