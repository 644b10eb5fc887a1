"""What there is to know about decisions before anybody has made them: each legal move, and what it leaves.

Worked out once for a game and a seat, and shared by all attempts.  Everything is an array over positions in which the
machine has to move, or over their legal moves.
"""

import numpy as np

from games.codes import UNFINISHED, Codes, Flags, Indices, MoveIds, by_parent, distinct, win_of
from games.game import least_images, with_lines
from games.housed import HousedGame
from solver.played import Judged, judge_moves
from solver.scores import SolvedScores
from solver.sheet.lines import threat_cells
from solver.solved import Solved

ENDING = 4
"""Plies: where no line can last longer, it is the ending."""
MOST_LOOKED_AT = 2_000_000
"""Positions that are looked at to know how long play can last; where it takes more, that is not the ending."""


class Facts:
    """Positions with the machine to move, and all that can be played there.

    codes: (n,) sorted; ply: (n,) the first on which each comes; image: (n,) which board up to symmetry, by a number,
    what house rules count left out.
    parent, move, child: (m,) the legal moves, sorted by parent, then move; child: codes.
    judged: what each leaves, in `Judged`'s numbers.  wins: (m,) those that win at once; lets_win: (m,) after which the
    visitor can win at once; lost_in_three: (m,) after which the visitor wins in three plies, whatever is answered.
    is_threatened: (n,) where a line of the visitor's lacks one cell that can be marked, in games of marks and lines.
    won_in_three: (n,) where best play wins in three plies.  is_ending: (n,) where no line lasts more than ENDING plies.
    """

    def __init__(self, game: HousedGame, solved: Solved | SolvedScores, codes: Codes, ply: Indices) -> None:
        self.game = game
        self.codes = codes
        self.ply = ply
        least = least_images(game.fair, game.fair_codes(codes))[0]
        self.image: Indices = np.searchsorted(distinct(least), least)
        moves = by_parent(game.moves(codes))
        self.parent: Indices = moves.parent
        self.move: MoveIds = moves.move
        self.child: Codes = moves.child
        self._keys = self._key(moves.parent, moves.move)
        known = distinct(np.concatenate([codes, moves.child]))
        at, child = np.searchsorted(known, codes), np.searchsorted(known, moves.child)
        self.judged: Judged = judge_moves(game, solved, known, (at[moves.parent], moves.move, child))
        self.wins: Flags = game.ending(moves.child) == win_of(game.seat)
        plies = _plies_to(win_of(game.visitor), solved, known)[child]
        self.lets_win: Flags = plies == 1
        self.lost_in_three: Flags = plies == 3
        self.won_in_three: Flags = _plies_to(win_of(game.seat), solved, codes) == 3
        self.is_threatened: Flags = _threatened(game, codes)
        self.is_ending: Flags = is_over_within(game, codes, ENDING)

    def __len__(self) -> int:
        return len(self.codes)

    def _key(self, place: Indices, move: MoveIds) -> Indices:
        keys: Indices = place * len(self.game.move_names) + move
        return keys

    def edges(self, place: Indices, move: MoveIds) -> Indices:
        """The numbers of these moves among the legal ones; -1 for a move that is none."""
        keys = self._key(place, move)
        found = np.minimum(np.searchsorted(self._keys, keys), max(len(self._keys) - 1, 0))
        if not len(self._keys):
            return np.full(len(keys), -1, dtype=np.intp)
        return np.where(self._keys[found] == keys, found, -1)

    def places(self, codes: Codes) -> Indices:
        """Where these positions stand, every one of which must be here."""
        places: Indices = np.searchsorted(self.codes, codes)
        return places

    def best_moves(self, place: int) -> tuple[int, ...]:
        """The moves of a position that give nothing away, and of those that win the quickest."""
        edges = np.arange(*np.searchsorted(self.parent, [place, place + 1]))
        before, after, later = (each[edges] for each in self.judged)
        best = edges[(after == before) & (later == 0)]
        return tuple(int(move) for move in self.move[best])


def _plies_to(result: int, solved: Solved | SolvedScores, codes: Codes) -> Indices:
    """In how many plies best play comes to this result; 0 where it does not, and where moves score."""
    if isinstance(solved, SolvedScores):
        return np.zeros(len(codes), dtype=np.intp)
    values = solved.look_up(codes)
    return np.where(values.value == result, values.distance, 0).astype(np.intp)


def _threatened(game: HousedGame, codes: Codes) -> Flags:
    threatened = np.zeros(len(codes), dtype=bool)
    line_game = with_lines(game.fair)
    if line_game is not None:
        fair = game.fair_codes(codes)
        held = line_game.holdings(fair)
        free = ~(held[0] | held[1]) & np.uint64((1 << line_game.board.size) - 1)
        cells = threat_cells(line_game.lines, held[game.visitor], free)
        threatened[line_game.moves_onto(fair, cells)[0]] = True
    return threatened


def is_over_within(game: HousedGame, codes: Codes, plies: int) -> Flags:
    """Whether every line from each position ends within so many plies; False as well where that is too much to see."""
    over: Flags = game.ending(codes) != UNFINISHED
    going = np.nonzero(~over)[0]
    if plies == 0 or not len(going):
        return over
    moves = game.moves(codes[going])
    children = distinct(moves.child)
    if len(children) > MOST_LOOKED_AT:
        return over
    is_long = ~is_over_within(game, children, plies - 1)[np.searchsorted(children, moves.child)]
    lasts = np.zeros(len(codes), dtype=bool)
    lasts[going[moves.parent[is_long]]] = True
    return ~lasts


def every_position(game: HousedGame, solved: Solved | SolvedScores) -> tuple[Codes, Indices]:
    """Every position that can arise in which the machine has to move, sorted, and the first ply of each."""
    by_ply = [
        codes[(game.mover(codes) == game.seat) & (game.ending(codes) == UNFINISHED)]
        for codes in solved.plies()
    ]
    codes = np.concatenate(by_ply)
    ply = np.repeat(np.arange(len(by_ply)), [len(each) for each in by_ply])
    order = np.argsort(codes, kind="stable")
    return codes[order], ply[order]
