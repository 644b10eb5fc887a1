"""The fewest answers once more, by plain recursion over boards and scipy's integer program, sharing no code with ours.

Nothing of solver/ is used, and of games/ only the rules (moves, endings, symmetries) one position at a time.
"""

from functools import cache

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_matrix

UNFINISHED, DRAW = 0, 3


class Plain:
    """A game without house rules, position by position, from the machine's seat."""

    def __init__(self, game, seat: int, claim: str, *, turned: bool) -> None:
        self.game, self.seat, self.claim, self.turned = game, seat, claim, turned
        self.worth = cache(self.worth)
        self.children = cache(self.children)
        self.boards_after = cache(self.boards_after)

    def ask(self, function, code: int) -> int:
        return int(function(np.array([code], dtype=np.uint64))[0])

    def children(self, code: int) -> list[tuple[int, int]]:
        moves = self.game.moves(np.array([code], dtype=np.uint64))
        return sorted((int(m), self.seen(int(c))) for m, c in zip(moves.move, moves.child, strict=True))

    def seen(self, code: int) -> int:
        if not self.turned:
            return code
        codes = np.array([code], dtype=np.uint64)
        return min(int(self.game.turned(s, codes)[0]) for s in range(self.game.symmetries))

    def worth(self, code: int) -> tuple[int, int]:
        """(result, -plies) for a win, (0, 0) for a draw, (-1, plies) for a loss: greater is better for the machine."""
        ending = self.ask(self.game.ending, code)
        if ending != UNFINISHED:
            return (0 if ending == DRAW else 1 if ending == self.seat + 1 else -1, 0)
        after = [self.one_ply_on(self.worth(child)) for _, child in self.children(code)]
        return max(after) if self.moves_here(code) else min(after)

    @staticmethod
    def one_ply_on(worth: tuple[int, int]) -> tuple[int, int]:
        result, plies = worth
        return (result, plies - result)

    def moves_here(self, code: int) -> bool:
        return self.ask(self.game.mover, code) == self.seat

    def good(self, code: int) -> list[int]:
        """What the machine may come to from a position without giving the claim away, each once."""
        best = self.worth(code)
        found = []
        for _, child in self.children(code):
            worth = self.one_ply_on(self.worth(child))
            keeps = worth[0] >= min(best[0], 0) if self.claim == "never-loses" else worth[0] >= best[0]
            if self.claim == "quickest" and best[0] == 1:
                keeps = worth == best
            if keeps:
                found.append(child)
        return list(dict.fromkeys(found))

    def boards_after(self, code: int) -> frozenset[int]:
        """The machine's boards that may come next."""
        if self.ask(self.game.ending, code) != UNFINISHED:
            return frozenset()
        if self.moves_here(code):
            return frozenset([code])
        return frozenset().union(*(self.boards_after(child) for _, child in self.children(code)))


def least_by_milp(game, seat: int, claim: str, *, turned: bool, first_move: int | None = None) -> int:
    """The optimum by scipy's milp, in the plainest model: one row for each pick and board that follows.

    first_move: what a machine that moves first begins with, where only that is asked.
    """
    plain = Plain(game, seat, claim, turned=turned)
    start = plain.seen(game.start)
    roots = plain.boards_after(start)
    picks: dict[int, list[frozenset[int]]] = {}
    waiting = list(roots)
    while waiting:
        board = waiting.pop()
        if board in picks:
            continue
        good = plain.good(board)
        if first_move is not None and board == start:
            good = [child for move, child in plain.children(start) if move == first_move]
        picks[board] = [plain.boards_after(child) for child in good]
        waiting.extend(set().union(*picks[board]))
    boards = sorted(picks)
    column = {board: place for place, board in enumerate(boards)}
    made = [(board, after) for board in boards for after in picks[board]]
    rows = len(boards) + sum(len(after) for _, after in made)
    matrix = lil_matrix((rows, len(boards) + len(made)))
    for place in range(len(boards)):
        matrix[place, place] = -1
    row = len(boards)
    for place, (board, after) in enumerate(made):
        matrix[column[board], len(boards) + place] = 1
        for follower in after:
            matrix[row, column[follower]] = 1
            matrix[row, len(boards) + place] = -1
            row += 1
    cost = np.concatenate([np.ones(len(boards)), np.zeros(len(made))])
    lower = np.zeros(len(cost))
    lower[[column[board] for board in roots]] = 1
    result = milp(
        cost,
        constraints=LinearConstraint(matrix.tocsr(), 0, np.inf),
        bounds=Bounds(lower, 1),
        integrality=np.ones(len(cost)),
    )
    assert result.status == 0, result.message
    return round(result.fun)


def least_by_trying(game, seat: int, claim: str, *, turned: bool) -> int:
    """The optimum by going through all choices, the boards still to be answered in order; for tiny games."""
    plain = Plain(game, seat, claim, turned=turned)
    best = [10**9]

    def go(waiting: tuple[int, ...], answered: frozenset[int]) -> None:
        open_ = [board for board in waiting if board not in answered]
        if len(answered) + len(set(open_)) >= best[0]:
            return
        if not open_:
            best[0] = len(answered)
            return
        board, *rest = open_
        for child in plain.good(board):
            go((*rest, *sorted(plain.boards_after(child))), answered | {board})

    go(tuple(sorted(plain.boards_after(plain.seen(game.start)))), frozenset())
    return best[0]
