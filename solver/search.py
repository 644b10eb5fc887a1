"""Look ahead a number of plies under fair rules, then play the least of the best moves.

Best is: a win, the nearer the better; then a draw or a line that is not finished; then a loss, the farther
the better.  In a game in which moves score, best is what the looked-at plies bring most of.
"""

import numpy as np
import numpy.typing as npt

from games.codes import FIRST, FIRST_WINS, SECOND_WINS, UNFINISHED, Codes, by_parent
from games.game import Game, ScoreGame, scored
from solver.meanings import LooksAhead
from solver.strategy import Allowed, View

Scores = npt.NDArray[np.int32]
"""(n,) what a position promises the first player: 0, or +-(HORIZON - plies to the win)."""
HORIZON = 1_000_000
"""Greater than any number of plies that is looked ahead."""


class SearchRule:
    """A strategy's rule that looks ahead; it answers in every position."""

    __slots__ = ("line", "meaning", "text")
    stores_answers = False

    def __init__(self, text: str, line: int, meaning: LooksAhead) -> None:
        self.text = text
        self.line = line
        self.meaning = meaning

    def allowed(self, view: View) -> Allowed:
        """The least of the best moves of each position."""
        parent, move, child = by_parent(view.game.moves(view.codes))
        sign = 1 if view.seat == FIRST else -1
        score_game = scored(view.game)
        if score_game is None:
            scores = _scores(view.game, child, self.meaning.plies - 1) * sign
        else:
            gains = score_game.gains(view.codes[parent], move).astype(np.int32)
            scores = (gains + _differences(score_game, child, self.meaning.plies - 1)) * sign
        starts = np.searchsorted(parent, np.arange(len(view)))
        best = np.maximum.reduceat(scores, starts) if len(scores) else scores
        at_best = np.nonzero(scores == best[parent])[0]
        _, first = np.unique(parent[at_best], return_index=True)
        chosen = at_best[first]
        return Allowed(parent[chosen], move[chosen])


def _scores(game: Game, codes: Codes, plies: int) -> Scores:
    """What positions promise when looked at `plies` plies deep; equal positions are looked at once."""
    codes, back = np.unique(codes, return_inverse=True)
    ending = game.ending(codes)
    scores = np.zeros(len(codes), dtype=np.int32)
    scores[ending == FIRST_WINS] = HORIZON
    scores[ending == SECOND_WINS] = -HORIZON
    at = np.nonzero(ending == UNFINISHED)[0]
    if plies > 0 and len(at):
        parent, _, child = game.moves(codes[at])
        deeper = _scores(game, child, plies - 1)
        deeper -= np.sign(deeper)  # one ply farther away
        sign = np.where(game.mover(codes[at]) == FIRST, 1, -1).astype(np.int32)
        best = np.full(len(at), -HORIZON - 1, dtype=np.int32)
        np.maximum.at(best, parent, deeper * sign[parent])
        scores[at] = best * sign
    return scores[back.reshape(-1)]


def _differences(game: ScoreGame, codes: Codes, plies: int) -> Scores:
    """In a score game: what the next `plies` plies bring under best play, first player's gains minus the second's."""
    codes, back = np.unique(codes, return_inverse=True)
    brings = np.zeros(len(codes), dtype=np.int32)
    at = np.nonzero(game.ending(codes) == UNFINISHED)[0]
    if plies > 0 and len(at):
        parent, move, child = game.moves(codes[at])
        gains = game.gains(codes[at][parent], move).astype(np.int32)
        sign = np.where(game.mover(codes[at]) == FIRST, 1, -1).astype(np.int32)
        best = np.full(len(at), -HORIZON, dtype=np.int32)
        np.maximum.at(best, parent, (gains + _differences(game, child, plies - 1)) * sign[parent])
        brings[at] = best * sign
    return brings[back.reshape(-1)]
