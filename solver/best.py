"""Best play as a strategy: in every position a move that keeps its value, and where a win is at hand the quickest.

Nobody needs to write it down, so it tells what a game asks of a machine before anybody has a better idea: a table of
these answers never gives anything away.  It is not the least table.  Which of the best moves is played is settled
as in any strategy (`solver.strategy`): the least on the board as it stands, or on its least image.
"""

from games.codes import by_parent, win_of
from games.house import HouseRules
from solver.proof import PROVED, Proof
from solver.solved import Solved
from solver.strategy import Allowed, Strategy, View

CLAIM = "best-value"


class BestMoves:
    """The rule that allows every best move of a solved game (`solver.strategy.Rule`)."""

    text = "play a best move"
    line = 1
    stores_answers = True

    def __init__(self, solved: Solved) -> None:
        self._solved = solved

    def allowed(self, view: View) -> Allowed:
        """The moves that keep the value; of those that keep a win, the ones that bring it nearer by a ply."""
        parent, move, child = by_parent(view.game.moves(view.codes))
        here, after = self._solved.look_up(view.codes), self._solved.look_up(child)
        is_nearer = after.distance == here.distance[parent] - 1
        is_best = (after.value == here.value[parent]) & (
            is_nearer | (here.value[parent] != win_of(view.seat))
        )
        return Allowed(parent[is_best], move[is_best])


def prove_best(solved: Solved, seat: int, reading: str, house: HouseRules) -> Proof:
    """Best play with its choices settled by `reading` (PLAIN or TURNED), walked and proved to keep the value.

    Raises RuntimeError if the proof fails, which would be a fault of ours: the proof looks at the game again and
    at nothing that `solved` says.
    """
    strategy = Strategy("best play", "", solved.game, seat, [BestMoves(solved)], reading)
    proof = Proof(strategy, CLAIM, house)
    if proof.verdict != PROVED:
        raise RuntimeError(f"best play of {solved.game.name} is {proof.verdict} ({reading}, seat {seat})")
    return proof
