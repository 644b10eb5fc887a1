"""A strategy with every choice settled: in each position that it can meet, one move.

*plain* takes the least move on the board as it stands; *turned* takes the least move on the least image and
turns it back by the first symmetry, in the order that the game lists, that leads to the least image.
"""

import numpy as np

from games.codes import Codes, MoveIds
from games.housed import HousedGame
from solver.graph import Graph
from solver.proof import Proof
from solver.strategy import OPEN, PLAIN, TURNED, Strategy

__all__ = ["PLAIN", "TURNED", "FixedPlay", "Unanswered", "fix", "fixed_plays", "readings_of"]


class Unanswered(Exception):
    """Settled in this reading, the strategy meets a position in which it has no legal answer."""


class FixedPlay:
    """What a fixed strategy plays in every machine-to-move position that it can meet.

    codes: (n,) the boards, as codes of the fair game with the machine to move, sorted, each once (what house
    rules count is left out: a stored answer looks at the board alone); moves: (n,) the machine's move in each.
    reading: PLAIN or TURNED.  graph: every position met, the visitor's and final ones too, and the moves between.
    proof: what was found when the fixed strategy was proved anew (None where a play was put together by hand).
    """

    __slots__ = ("codes", "game", "graph", "moves", "proof", "reading")

    def __init__(
        self,
        game: HousedGame,
        reading: str,
        graph: Graph,
        codes: Codes,
        moves: MoveIds,
        proof: Proof | None = None,
    ) -> None:
        self.game = game
        self.reading = reading
        self.graph = graph
        self.codes = codes
        self.moves = moves
        self.proof = proof


def fix(proof: Proof, reading: str) -> FixedPlay:
    """The strategy of a proof with its choices settled by `reading`, walked anew and proved again.

    A strategy that settles its own choices is taken as it is, and called by the reading that it names: its proof is
    of just this play, walked move by move, so it is not made a second time.
    Raises Unanswered if the fixed strategy leaves a position that it meets without a legal answer.
    """
    strategy = proof.walk.strategy
    if strategy.choice == OPEN:
        proof = Proof(strategy.fixed(reading), proof.claim, proof.house)
    walked, choice = proof.walk, proof.walk.strategy.choice
    if walked.illegal or len(walked.unanswered):
        raise Unanswered(choice)
    from_machine = walked.machine[walked.graph.parent]
    boards = walked.game.fair_codes(walked.graph.codes[walked.graph.parent[from_machine]])
    codes, first = np.unique(boards, return_index=True)
    moves = walked.graph.move[from_machine][first]
    return FixedPlay(walked.game, choice, walked.graph, codes, moves, proof)


def fixed_plays(proof: Proof) -> list[FixedPlay]:
    """The strategy fixed in every reading in which it has an answer wherever it comes.

    A table of plain boards inside a sheet may have none when the board is turned first.
    """
    plays = []
    for reading in readings_of(proof.walk.strategy):
        try:
            plays.append(fix(proof, reading))
        except Unanswered:
            continue
    return plays


def readings_of(strategy: Strategy) -> tuple[str, ...]:
    """The readings under which a strategy can be stored: both, or the one that its sheet has settled on."""
    return (PLAIN, TURNED) if strategy.choice == OPEN else (strategy.choice,)
