"""What weights have to decide: in each state that may come, which cells must be heavier than which.

Cells of a board that everything weighs alike, such as four free corners, are one *group*: no weights can tell them
apart.  A group is good where each of its cells keeps the claim.  The heaviest groups of a state are all taken, since
the claim must hold for every choice; so each of them must be good, and whatever follows them comes next.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from games.codes import Flags, Indices, distinct
from games.game import LineGame
from solver.graph import reach
from solver.least.choices import Choices
from solver.least.model import Whole
from solver.least.weights_terms import Term
from solver.sheet.rules import Marked
from solver.sheet.weights import heft_of_cells


class Groups(NamedTuple):
    """The states that may come to the machine, and the groups of cells in each.

    begin: (s + 1) state i has the groups ``begin[i]:begin[i + 1]``; state: (g,) the state of each group.
    vector: (g, t) how often each term counts for a cell of the group.  good: (g,) whether taking it keeps the claim.
    follow, first: the states that may come after group i, ``follow[first[i]:first[i + 1]]``; none after bad ones.
    roots: the states that come before anything has been taken.
    """

    begin: Indices
    state: Indices
    vector: Whole
    good: Flags
    follow: Indices
    first: Indices
    roots: Indices

    def of(self, state: int) -> Indices:
        """The groups of a state."""
        return np.arange(self.begin[state], self.begin[state + 1])

    def good_of(self, state: int) -> list[int]:
        """The good groups of a state."""
        every = self.of(state)
        found: list[int] = every[self.good[every]].tolist()
        return found

    def after(self, group: int) -> list[int]:
        """The states that may come after a group."""
        found: list[int] = self.follow[self.first[group] : self.first[group + 1]].tolist()
        return found


def groups_of(choices: Choices, game: LineGame, terms: Sequence[Term]) -> Groups:
    """The groups that some terms leave to choose between."""
    states, width = len(choices.states), len(choices.game.move_names)
    state, move, vector = _markings(choices, game, terms)
    keys, group = np.unique(np.column_stack([state, vector]), axis=0, return_inverse=True)
    group = group.reshape(-1)
    step = choices.step_state * width + choices.pick_move[choices.step_pick]
    place = np.minimum(np.searchsorted(step, state * width + move), len(step) - 1)
    kept = step[place] == state * width + move
    good = np.ones(len(keys), dtype=bool)
    np.logical_and.at(good, group, kept)
    taken = np.flatnonzero(good[group])
    lengths = np.diff(choices.first)[place[taken]]
    after = choices.follow[reach(place[taken], choices.first)]
    links = distinct(np.repeat(group[taken], lengths) * states + after)
    return Groups(
        begin=np.searchsorted(keys[:, 0], np.arange(states + 1)).astype(np.intp),
        state=keys[:, 0].astype(np.intp),
        vector=keys[:, 1:],
        good=good,
        follow=links % states,
        first=np.searchsorted(links // states, np.arange(len(keys) + 1)).astype(np.intp),
        roots=choices.roots,
    )


def _markings(choices: Choices, game: LineGame, terms: Sequence[Term]) -> tuple[Indices, Indices, Whole]:
    """Every way to mark a cell in every state: the state, the move, and how often each term counts there."""
    onto = [
        game.moves_onto(choices.boards, np.full(len(choices.boards), 1 << cell, dtype=np.uint64))
        for cell in range(game.board.size)
    ]
    board = np.concatenate([place for place, _ in onto])
    move = np.concatenate([move for _, move in onto]).astype(np.intp)
    cell = np.repeat(np.arange(game.board.size), [len(place) for place, _ in onto])
    view = Marked.of(game, choices.boards, choices.game.seat)
    counts = [heft_of_cells(game.board.size, [term.unit], view)[board, cell] for term in terms]
    order = np.lexsort((move, board))
    begin = np.searchsorted(board[order], np.arange(len(choices.boards) + 1)).astype(np.intp)
    every = order[reach(choices.board, begin)]
    state = np.repeat(np.arange(len(choices.states)), np.diff(begin)[choices.board])
    return state, move[every], np.column_stack(counts)[every]
