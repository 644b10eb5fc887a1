"""Best play as a strategy: in every position a move that keeps its value, and where a win is at hand the quickest.

Nobody needs to write it down, so it tells what a game asks of a machine before anybody has a better idea: a table of
these answers never gives anything away.  It is not the least table.  Which of the best moves is played is settled
as in any strategy (`solver.strategy`): the least on the board as it stands, or on its least image.
"""

from games.codes import Codes, Flags, MoveList, by_parent, win_of
from games.house import HouseRules
from solver.meanings import LooksUp
from solver.proof import PROVED, Proof
from solver.scores import SolvedScores
from solver.solved import Solved
from solver.strategy import Allowed, Strategy, View

CLAIM = "best-value"


class BestMoves:
    """The rule that allows every best move of a solved game (`solver.strategy.Rule`)."""

    text = "play a best move"
    line = 1
    meaning = LooksUp(is_turned=False)
    stores_answers = True

    def __init__(self, solved: Solved | SolvedScores) -> None:
        self._solved = solved

    def allowed(self, view: View) -> Allowed:
        """The best moves of each position."""
        moves = by_parent(view.game.moves(view.codes))
        if isinstance(self._solved, SolvedScores):
            is_best = _bring_the_most(self._solved, view.codes, moves)
        else:
            is_best = _keep_the_value(self._solved, view.codes, moves, view.seat)
        return Allowed(moves.parent[is_best], moves.move[is_best])


def _keep_the_value(solved: Solved, codes: Codes, moves: MoveList, seat: int) -> Flags:
    """Which moves (m,) keep the value; of those that keep a win, which bring it nearer by a ply."""
    here, after = solved.look_up(codes), solved.look_up(moves.child)
    value, distance = here.value[moves.parent], here.distance[moves.parent]
    is_best: Flags = after.value == value
    is_best &= (value != win_of(seat)) | (after.distance == distance - 1)
    return is_best


def _bring_the_most(solved: SolvedScores, codes: Codes, moves: MoveList) -> Flags:
    """Which moves (m,) bring, at once and later, the difference that the position is worth."""
    brings = solved.game.gains(codes[moves.parent], moves.move) + solved.look_up(moves.child)
    is_best: Flags = brings == solved.look_up(codes)[moves.parent]
    return is_best


def prove_best(solved: Solved | SolvedScores, seat: int, reading: str, house: HouseRules) -> Proof:
    """Best play with its choices settled by `reading` (PLAIN or TURNED), walked and proved to keep the value.

    Raises ValueError where a turn lost by wrong input leads to boards of which `solved` knows nothing, for fair play
    never comes there; RuntimeError if the proof fails, which would be a fault of ours: the proof looks at the game
    again and at nothing that `solved` says.
    """
    strategy = Strategy("best play", "", solved.game, seat, [BestMoves(solved)], reading)
    try:
        proof = Proof(strategy, CLAIM, house)
    except KeyError:
        if not any(rule.cost == "turn" for rule in house.rules):
            raise
        raise ValueError(
            f"a lost turn in {solved.game.name} leads to boards that fair play never reaches, so best play is not "
            "known there; expected house rules that cost no turn"
        ) from None
    if proof.verdict != PROVED:
        raise RuntimeError(f"best play of {solved.game.name} is {proof.verdict} ({reading}, seat {seat})")
    return proof
