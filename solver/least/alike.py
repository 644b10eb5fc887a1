"""Symmetries of a model: how its variables change places when the board is turned or mirrored.

On a fixed board each strategy stands for as many as there are symmetries, all of the same cost; who divides strategies
into parts need look at one of them.  Each symmetry given here is checked pick by pick: it carries boards to boards,
picks to picks, and what follows to what follows, so that it carries points of the model to points.
"""

from collections.abc import Iterator

import numpy as np

from games.codes import Indices
from solver.least.choices import Choices
from solver.least.model import Model


def symmetries_of(choices: Choices, model: Model) -> list[Indices]:
    """For each symmetry but the identity the variable (v,) to which each is carried; only where boards are states."""
    if choices.turned or len(choices.boards) != len(choices.states) or len(choices.barred_pick):
        return []
    return list(_found(choices, model))


def _found(choices: Choices, model: Model) -> Iterator[Indices]:
    game = choices.game
    picks = _Picks(choices)
    for symmetry in range(1, game.symmetries):
        codes = game.turned(symmetry, choices.states)
        board = np.searchsorted(choices.states, codes)
        if (board == len(codes)).any() or not np.array_equal(choices.states[board], codes):
            continue
        if not np.array_equal(np.sort(board[choices.roots]), np.sort(choices.roots)):
            continue
        pick = picks.carried(board)
        if pick is None:
            continue
        variables = _both(model, board, pick)
        if variables is not None:
            yield variables


class _Picks:
    """Knows picks by their board and by what follows: moves that differ in nothing else change places freely."""

    def __init__(self, choices: Choices) -> None:
        followers = np.split(choices.follow, choices.first[1:-1]) if len(choices.step_pick) else []
        self.board = choices.pick_board
        self.follow: list[Indices] = [np.zeros(0, dtype=np.intp)] * len(self.board)
        for pick, after in zip(choices.step_pick.tolist(), followers, strict=True):
            self.follow[pick] = after
        self.known: dict[tuple[int, bytes], list[int]] = {}
        for pick, after in enumerate(self.follow):
            self.known.setdefault((int(self.board[pick]), np.sort(after).tobytes()), []).append(pick)

    def carried(self, board: Indices) -> Indices | None:
        """The pick (p,) to which each is carried when boards (b,) are carried to others; None if one is missing."""
        carried = np.full(len(self.board), -1, dtype=np.intp)
        for (at, _), alike in self.known.items():
            after = np.sort(board[self.follow[alike[0]]]).astype(np.intp)
            there = self.known.get((int(board[at]), after.tobytes()), [])
            if len(there) != len(alike):
                return None
            carried[alike] = there
        return carried


def _both(model: Model, board: Indices, pick: Indices) -> Indices | None:
    """The variables that boards and picks are, carried alike; None where one variable would go two ways."""
    variables = np.full(len(model.lower), -1, dtype=np.intp)
    variables[model.board] = model.board[board]
    variables[model.pick] = model.pick[pick]
    same = np.array_equal(variables[model.board], model.board[board])
    is_one_to_one = np.array_equal(np.sort(variables), np.arange(len(variables)))
    return variables if same and is_one_to_one else None
