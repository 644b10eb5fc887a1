"""Which of the machine's moves keep a claim true: those that give away nothing that the claim asks for.

Whoever plays only such moves makes the claim hold, save one thing: for `best-value` in a game that can repeat the
win has to come as well, which single moves do not show (`solver.claims` looks for play that never ends).
"""

import numpy as np

from games.codes import FIRST, Codes, Flags, MoveList
from solver.claims import worth
from solver.scores import SolvedScores
from solver.solved import Solved


def keeping(solved: Solved | SolvedScores, claim: str, seat: int, codes: Codes, moves: MoveList) -> Flags:
    """Which of some moves (m,) by the machine in `seat`, from its positions `codes`, keep `claim` true.

    Raises ValueError for `never-loses` in a game of scores: there it depends on what was gained before, which is no
    part of a position.
    """
    if isinstance(solved, SolvedScores):
        return _keeping_the_difference(solved, claim, seat, codes, moves)
    here, after = solved.look_up(codes), solved.look_up(moves.child)
    before, then = worth(here.value, seat)[moves.parent], worth(after.value, seat)
    if claim == "never-loses":
        kept: Flags = then >= np.minimum(before, 1)
        return kept
    kept = then >= before
    if claim == "quickest":
        kept &= (before < 2) | (after.distance == here.distance[moves.parent] - 1)
    return kept


def _keeping_the_difference(
    solved: SolvedScores, claim: str, seat: int, codes: Codes, moves: MoveList
) -> Flags:
    if claim == "never-loses":
        raise ValueError("never-loses depends on the scores so far")
    sign = 1 if seat == FIRST else -1
    gains = solved.game.gains(codes[moves.parent], moves.move).astype(np.intp)
    brings = sign * (gains + solved.look_up(moves.child))
    kept: Flags = brings >= sign * solved.look_up(codes).astype(np.intp)[moves.parent]
    return kept
