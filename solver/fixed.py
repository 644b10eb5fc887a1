"""A strategy with every choice settled: in each position that it can meet, one move.

*plain* takes the least move on the board as it stands; *turned* takes the least move on the least image and
turns it back by the first symmetry, in the order that the game lists, that leads to the least image.
"""

from games.codes import Codes, MoveIds
from games.housed import HousedGame
from solver.graph import Graph

PLAIN, TURNED = "plain", "turned"


class FixedPlay:
    """What a fixed strategy plays in every machine-to-move position that it can meet.

    codes: (n,) the boards, as codes of the fair game with the machine to move, sorted, each once (what house
    rules count is left out: a stored answer looks at the board alone); moves: (n,) the machine's move in each.
    reading: PLAIN or TURNED.  graph: every position met, the visitor's and final ones too, and the moves between.
    """

    __slots__ = ("codes", "game", "graph", "moves", "reading")

    def __init__(self, game: HousedGame, reading: str, graph: Graph, codes: Codes, moves: MoveIds) -> None:
        self.game = game
        self.reading = reading
        self.graph = graph
        self.codes = codes
        self.moves = moves
