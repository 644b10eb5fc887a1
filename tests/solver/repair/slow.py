"""The slow, obvious way to mend a strategy: whatever the shortest losing line calls for is tried.

It knows of the solver only what a strategy answers on a board.  Boards are codes, one at a time; answers in front are a
dict from a board to a move.
"""

from functools import cache

import numpy as np

from games.codes import UNFINISHED, win_of
from games.game import inverse_symmetries, least_images


class Slow:
    """A strategy for a game that comes to an end, under house rules that cost nothing, and what it loses."""

    def __init__(self, strategy, *, turned=True):
        self.strategy, self.game, self.turned = strategy, strategy.game, turned
        self.back = inverse_symmetries(self.game)
        self.children = cache(self._children)
        self.own = cache(self._own)

    def _children(self, code):
        moves = self.game.moves(np.array([code], dtype=np.uint64))
        return dict(zip(moves.move.tolist(), moves.child.tolist(), strict=True))

    def _own(self, code):
        return self.strategy.answers(np.array([code], dtype=np.uint64)).move.tolist()

    def seen(self, code):
        """The board under which an answer is stored, and the symmetry that leads to it."""
        if not self.turned:
            return code, 0
        least, by = least_images(self.game, np.array([code], dtype=np.uint64))
        return int(least[0]), int(by[0])

    def losing_line(self, front):
        """The boards on which the machine moves on some line that it loses; None if it never does."""
        waiting, met = [(self.game.start, ())], set()
        while waiting:
            code, boards = waiting.pop(0)
            if code in met:
                continue
            met.add(code)
            one = np.array([code], dtype=np.uint64)
            ending = int(self.game.ending(one)[0])
            if ending == win_of(1 - self.strategy.seat):
                return boards
            if ending != UNFINISHED:
                continue
            after = self.children(code)
            if int(self.game.mover(one)[0]) != self.strategy.seat:
                waiting += [(child, boards) for child in after.values()]
                continue
            board, by = self.seen(code)
            boards = (*boards, board)
            moves = self.own(code)
            if board in front:
                moves = [
                    int(self.game.turned_move(self.back[by], np.array([front[board]], dtype=np.uint16))[0])
                ]
            if not moves or any(move not in after for move in moves):
                return boards
            waiting += [(after[move], boards) for move in moves]
        return None

    def fewest(self, most):
        """The fewest answers in front, none of more than `most`; None if more are needed."""
        return next((count for count in range(most + 1) if self._can(count, {})), None)

    def _can(self, left, front):
        boards = self.losing_line(front)
        if boards is None:
            return True
        return left > 0 and any(
            self._can(left - 1, {**front, board: move})
            for board in boards
            if board not in front
            for move in self.children(board)
        )
