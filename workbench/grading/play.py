"""What an attempt plays, position by position, beside what could be played there."""

import hashlib

import numpy as np
import numpy.typing as npt

from games.codes import Codes, Flags, Indices, MoveIds
from games.housed import HousedGame
from solver.played import Judged
from solver.scores import SolvedScores
from solver.solved import Solved
from solver.strategy import NO_RULE
from solver.walk import Walk
from workbench.grading.facts import Facts

Rules = npt.NDArray[np.int16]


class Play:
    """The moves that an attempt allows in the positions of some facts.

    place, move: (e,) pairs, sorted by both; edge: (e,) the number of each among the legal moves, -1 if it is none.
    rule: (n,) which rule answers, NO_RULE for none.  met: (n,) where play leads.  is_whole: whether it was asked in
    every position of the game, and not only in those that it meets.
    """

    def __init__(
        self,
        facts: Facts,
        place: Indices,
        move: MoveIds,
        rule: Rules,
        met: Flags,
        *,
        is_whole: bool,
    ) -> None:
        self.facts = facts
        self.place = place
        self.move = move
        self.rule = rule
        self.met = met
        self.is_whole = is_whole
        self.edge: Indices = facts.edges(place, move)

    @property
    def silent(self) -> Flags:
        """Where there is no answer, (n,)."""
        silent = np.ones(len(self.facts), dtype=bool)
        silent[self.place] = False
        return silent

    @property
    def judged(self) -> Judged:
        """What each pair leaves, each (e,); 0 for an illegal one."""
        legal = self.edge >= 0
        return Judged(*(np.where(legal, each[self.edge], 0) for each in self.facts.judged))

    def digest(self, within: Flags) -> str:
        """A name for what is played in some positions (n,): SHA-256 in hexadecimal, equal where the play is."""
        places = np.nonzero(within)[0]
        pairs = within[self.place]
        parts = (
            self.facts.codes[places].astype("<u8"),
            np.searchsorted(places, self.place[pairs]).astype("<u8"),
            self.move[pairs].astype("<u2"),
        )
        return hashlib.sha256(b"".join(part.tobytes() for part in parts)).hexdigest()


def play_met(walk: Walk, solved: Solved | SolvedScores) -> Play:
    """What a walked strategy plays in the positions that it meets."""
    at = np.nonzero(walk.machine)[0]
    facts = Facts(walk.game, solved, walk.graph.codes[at], walk.graph.ply[at])
    edges = np.nonzero(walk.machine[walk.graph.parent])[0]
    place = np.concatenate([walk.graph.parent[edges], [place for place, _ in walk.illegal]]).astype(np.intp)
    move = np.concatenate([walk.graph.move[edges], [move for _, move in walk.illegal]]).astype(np.uint16)
    order = np.lexsort((move, place))
    met = np.ones(len(at), dtype=bool)
    place = np.searchsorted(at, place[order]).astype(np.intp)
    return Play(facts, place, move[order], walk.rule[at], met, is_whole=False)


def play_heard(
    game: HousedGame, solved: Solved | SolvedScores, heard: dict[int, set[int]], facts: Facts | None
) -> Play:
    """What a program was heard to play: the moves by position, all with the machine to move.

    facts: of the whole game, if they are at hand.
    """
    codes: Codes = np.array(sorted(heard), dtype=np.uint64)
    own = Facts(game, solved, codes, np.zeros(len(codes), dtype=np.intp)) if facts is None else facts
    places = own.places(codes)
    pairs = [
        (int(place), move)
        for place, code in zip(places, codes.tolist(), strict=True)
        for move in sorted(heard[code])
    ]
    met = np.zeros(len(own), dtype=bool)
    met[places] = True
    place = np.array([place for place, _ in pairs], dtype=np.intp)
    move = np.array([move for _, move in pairs], dtype=np.uint16)
    return Play(own, place, move, np.full(len(own), NO_RULE, dtype=np.int16), met, is_whole=False)
