"""What a walked strategy plays, board by board, and what each of its moves leaves of what the machine had.

Boards are taken up to symmetry: every board that is met is turned to its least image, and its moves with it.  What
house rules count is left out of a board, so a move that is met with several counts shows the worst of them.
"""

from typing import NamedTuple

import numpy as np

from games.codes import FIRST, Codes, Flags, Indices, MoveIds, distinct
from games.game import Game, least_images
from games.housed import HousedGame
from solver.claims import worth
from solver.scores import SolvedScores
from solver.solved import Solved
from solver.walk import Walk

WORTHS = ("loss", "draw", "win")
"""What a position is worth to the machine, by number; in a game in which moves score it is the difference to come."""
NO_ROW = -1


class Side(NamedTuple):
    """What a strategy does on one board; moves alike on that board are one, called by the first of them.

    moves: all that it allows, in the game's order; illegal: those of them that the game does not allow;
    unanswered: whether no rule applies (on some image of the board, at least).
    worst: the legal move that gives most away, or else delays a win most; None where there is no legal one.
    before, after: what the machine has before and after that move; later: by how many plies a win that it
    keeps comes later than it could.
    """

    moves: tuple[int, ...]
    illegal: tuple[int, ...]
    unanswered: bool
    worst: int | None
    before: int
    after: int
    later: int

    @property
    def lost(self) -> int:
        """How much the worst move gives away; 0 for nothing."""
        return self.before - self.after


class Judged(NamedTuple):
    """What moves leave of what the machine had, each (e,), and by how many plies they delay a win."""

    before: Indices
    after: Indices
    later: Indices


class Played:
    """Every board on which the machine has to move, and every move that it may play there.

    boards: (k,) least images as codes of the fair game, sorted; ply: (k,) the first on which any image is met;
    unanswered: (k,) where no rule applies.  Rows, sorted by board, then by move: at: (e,) places in `boards`;
    move, legal: (e,); judged: for each row.  worst: (k,) the row of the worst move, NO_ROW without a legal one.
    """

    __slots__ = ("at", "boards", "judged", "legal", "move", "ply", "unanswered", "worst")

    def __init__(self, walk: Walk, solved: Solved | SolvedScores) -> None:
        machine = np.nonzero(walk.machine)[0]
        game, fair = walk.game.fair, walk.game.fair_codes(walk.graph.codes)
        least = least_images(game, fair[machine])[0]
        self.boards: Codes = distinct(least)
        place = np.searchsorted(self.boards, least)
        self.ply: Indices = np.full(len(self.boards), len(walk.graph), dtype=np.intp)
        np.minimum.at(self.ply, place, walk.graph.ply[machine])
        self.unanswered: Flags = np.zeros(len(self.boards), dtype=bool)
        self.unanswered[place[np.isin(machine, walk.unanswered)]] = True
        parent, move, legal, judged = _rows(walk, solved)
        image, move = on_least_image(game, fair[parent], move)
        at = np.searchsorted(self.boards, image)
        kept = _worst_first(judged, (move, at))
        same = (at[kept][1:] == at[kept][:-1]) & (move[kept][1:] == move[kept][:-1])
        kept = kept[np.concatenate([[True], ~same])] if len(kept) else kept
        self.at, self.move, self.legal = at[kept], move[kept], legal[kept]
        self.judged = Judged(*(each[kept] for each in judged))
        self.worst = self._worst_rows()

    def _worst_rows(self) -> Indices:
        worst = np.full(len(self.boards), NO_ROW, dtype=np.intp)
        order = _worst_first(self.judged, (self.at,))
        order = order[self.legal[order]][::-1]
        worst[self.at[order]] = order  # of several rows for one board the last is kept, and that is the worst
        return worst

    @property
    def lost(self) -> Indices:
        """How much the worst move on each board gives away, (k,)."""
        return self._of_worst(self.judged.before - self.judged.after)

    @property
    def later(self) -> Indices:
        """By how many plies the worst move delays a win that it keeps, (k,)."""
        return self._of_worst(self.judged.later)

    def _of_worst(self, column: Indices) -> Indices:
        found = np.zeros(len(self.boards), dtype=np.intp)
        has_one = self.worst != NO_ROW
        found[has_one] = column[self.worst[has_one]]
        return found

    def side(self, board: int) -> Side:
        """What is played on a board that is met, given as its least image."""
        place = int(np.searchsorted(self.boards, np.uint64(board)))
        rows = range(*np.searchsorted(self.at, [place, place + 1]).tolist())
        moves = tuple(int(self.move[row]) for row in rows)
        illegal = tuple(int(self.move[row]) for row in rows if not self.legal[row])
        row, unanswered = int(self.worst[place]), bool(self.unanswered[place])
        if row == NO_ROW:
            return Side(moves, illegal, unanswered, None, 0, 0, 0)
        before, after, later = (int(each[row]) for each in self.judged)
        return Side(moves, illegal, unanswered, int(self.move[row]), before, after, later)


def _rows(walk: Walk, solved: Solved | SolvedScores) -> tuple[Indices, MoveIds, Flags, Judged]:
    """Every move of the machine's, the illegal ones too: where, which, whether it is legal, and how it is judged."""
    edges = np.nonzero(walk.machine[walk.graph.parent])[0]
    places = np.array([place for place, _ in walk.illegal], dtype=np.intp)
    moves = np.array([move for _, move in walk.illegal], dtype=np.uint16)
    legal = np.concatenate([np.ones(len(edges), dtype=bool), np.zeros(len(places), dtype=bool)])
    parent, move = walk.graph.parent[edges], walk.graph.move[edges]
    of_legal = judge_moves(walk.game, solved, walk.graph.codes, (parent, move, walk.graph.child[edges]))
    judged = Judged(*(np.concatenate([each, np.zeros_like(places)]) for each in of_legal))
    return np.concatenate([parent, places]), np.concatenate([move, moves]), legal, judged


def judge_moves(
    game: HousedGame, solved: Solved | SolvedScores, codes: Codes, edges: tuple[Indices, MoveIds, Indices]
) -> Judged:
    """What moves of the machine's leave, under best play of both sides and with the house rules.

    codes: positions that can arise; edges: for each move its parent, its number and its child, parent and child as
    places in `codes`.
    """
    parent, move, child = edges
    if isinstance(solved, SolvedScores):
        sign = 1 if game.seat == FIRST else -1
        to_come = sign * solved.look_up(codes).astype(np.intp)
        gains = solved.game.gains(codes[parent], move)
        brings = sign * gains.astype(np.intp) + to_come[child]
        return Judged(to_come[parent], brings, np.zeros_like(brings))
    values = solved.look_up(codes)
    held = worth(values.value, game.seat)
    stays_won = np.minimum(held[parent], held[child]) == WORTHS.index("win")
    later = np.where(stays_won, values.distance[child] + 1 - values.distance[parent], 0)
    return Judged(held[parent], held[child], later)


def _worst_first(judged: Judged, within: tuple[Indices | MoveIds, ...]) -> Indices:
    """An order of rows: by the last of `within` first, and where all of `within` are alike the worst row first.

    The worst gives most away; of those that give nothing away it delays a win most; and then it leaves least.
    """
    order: Indices = np.lexsort((judged.after, -judged.later, judged.after - judged.before, *within))
    return order


def on_least_image(game: Game, codes: Codes, moves: MoveIds) -> tuple[Codes, MoveIds]:
    """Pairs of a board and a move turned to the board's least image.

    Several symmetries may lead there, which makes several moves alike: the first of them is taken.
    """
    least, _ = least_images(game, codes)
    first = np.full(len(moves), np.iinfo(np.uint16).max, dtype=np.uint16)
    for symmetry in range(game.symmetries):
        leads = game.turned(symmetry, codes) == least
        first[leads] = np.minimum(first[leads], game.turned_move(symmetry, moves[leads]))
    return least, first
