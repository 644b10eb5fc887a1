"""Games at random, where there are too many lines for all of them; and what they say about a visitor who plays so."""

import random
from typing import NamedTuple

from games.inputs import LEGAL
from workbench.drill.drilling import Drill
from workbench.drill.lines import Node

WRONG_ONCE_IN = 10
"""Of the inputs of the sampled visitor one in so many is wrong, as long as wrong inputs are left."""
CONFIDENCE = 0.95
MODEL = (
    "a visitor who plays each legal move with equal chances, and keys in something wrong once in "
    f"{WRONG_ONCE_IN} inputs, each example of a class with equal chances"
)


class Sample(NamedTuple):
    """Games at random: how many, their inputs, and how many showed a fault."""

    games: int
    inputs: int
    faulty: int

    @property
    def bound(self) -> float | None:
        """Where no game showed a fault: the largest share of faulty games that is not refuted with 95 % confidence."""
        return 1 - (1 - CONFIDENCE) ** (1 / self.games) if not self.faulty and self.games else None


def sample(played: Drill, games: int, wrong: int, chance: random.Random) -> Sample:
    """Play games at random with one copy of the program, each with up to `wrong` wrong inputs."""

    def choose(node: Node) -> int | None:
        legal = [place for place, entry in enumerate(node.entries) if entry.kind == LEGAL]
        others = [place for place, entry in enumerate(node.entries) if entry.kind != LEGAL]
        if not legal:
            return others[0]
        is_wrong = bool(others) and chance.randrange(WRONG_ONCE_IN) == 0
        return chance.choice(others if is_wrong else legal)

    done = inputs = faulty = 0
    for _ in range(games):
        before = played.ledger.total()
        keyed = played.one_game(wrong, choose)
        if keyed is None or played.broken_off:
            break
        done += 1
        inputs += keyed
        faulty += played.ledger.total() > before
    return Sample(done, inputs, faulty)
