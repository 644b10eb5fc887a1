"""A strategy walked: every position it can meet when the visitor does anything, wrong input included.

Where the strategy allows several moves all of them are followed, so whatever is shown here holds for every
choice.
"""

import numpy as np
import numpy.typing as npt

from games.codes import UNFINISHED, Codes, Flags, Indices, MoveIds, MoveList, distinct
from games.housed import HousedGame
from solver.counts import one_of_each
from solver.graph import Graph, explore
from solver.progress import Report
from solver.strategy import NO_RULE, Strategy


class Walk:
    """What a strategy meets.

    graph: the positions met and the moves followed.  rule: (n,) which rule answered in each
    machine-to-move position, NO_RULE where none did or the machine was not to move.
    illegal: pairs of a place and a move that the strategy allows and the game does not.
    """

    __slots__ = ("game", "graph", "illegal", "machine", "rule", "strategy")

    def __init__(
        self,
        game: HousedGame,
        strategy: Strategy,
        graph: Graph,
        rule: npt.NDArray[np.int16],
        illegal: list[tuple[int, int]],
    ) -> None:
        self.game = game
        self.strategy = strategy
        self.graph = graph
        self.rule = rule
        self.illegal = illegal
        self.machine: Flags = (graph.mover == game.seat) & (graph.ending == UNFINISHED)
        """Where the machine has to move."""

    @property
    def unanswered(self) -> Indices:
        """The machine-to-move positions in which no rule applies."""
        return np.nonzero(self.machine & (self.rule == NO_RULE))[0]

    def positions(self) -> int:
        """How many machine-to-move positions are met."""
        return int(self.machine.sum())

    def positions_up_to_symmetry(self) -> int:
        """The same up to the game's symmetries."""
        return len(one_of_each(self.game, self.graph.codes[self.machine]))

    def _stored(self) -> Codes:
        """The boards that need a stored answer; what house rules have counted does not change what is played."""
        stores = np.array([*(rule.stores_answers for rule in self.strategy.rules), True])
        stored = (
            self.machine & stores[self.rule]
        )  # NO_RULE is -1: what nothing answers would have to be stored
        return distinct(self.game.fair_codes(self.graph.codes[stored]))

    def answers(self) -> int:
        """How many boards are met that no computing rule answers, up to symmetry: each needs a stored answer."""
        return len(one_of_each(self.game, self._stored()))

    def answers_fixed_board(self) -> int:
        """The same on a board that is never turned."""
        return len(self._stored())

    def times_used(self) -> list[int]:
        """For each rule, in how many of the positions met it gave the answer."""
        counts = np.bincount(self.rule[self.machine] + 1, minlength=len(self.strategy.rules) + 1)
        return [int(count) for count in counts[1:]]


def walk(game: HousedGame, strategy: Strategy, report: Report | None = None) -> Walk:
    """Every position that `strategy` can meet in `game`; `report` is told how far the work is."""
    walker = _Walker(game, strategy)
    graph = explore(game, walker.successors, report)
    rule = np.full(len(graph), NO_RULE, dtype=np.int16)
    for codes, rules in walker.rules:
        rule[graph.places(codes)] = rules
    illegal = [
        (int(graph.places(np.array([code], dtype=np.uint64))[0]), move) for code, move in walker.illegal
    ]
    return Walk(game, strategy, graph, rule, sorted(illegal))


class _Walker:
    """Follows the strategy where the machine is to move and every move elsewhere; notes who answered what."""

    def __init__(self, game: HousedGame, strategy: Strategy) -> None:
        self.game = game
        self.strategy = strategy
        self.rules: list[tuple[Codes, npt.NDArray[np.int16]]] = []
        self.illegal: list[tuple[int, int]] = []

    def successors(self, codes: Codes) -> MoveList:
        every = self.game.moves(codes)
        is_machine = self.game.mover(codes) == self.game.seat
        at = np.nonzero(is_machine)[0]
        if not len(at):
            return every
        answers = self.strategy.answers(self.game.fair_codes(codes[at]))
        self.rules.append((codes[at], answers.rule))
        width = len(self.game.move_names)
        legal = every.parent * width + every.move
        allowed = at[answers.place] * width + answers.move
        self._note_illegal(codes, allowed[~np.isin(allowed, legal)], width)
        kept = ~is_machine[every.parent] | np.isin(legal, allowed)
        return MoveList(every.parent[kept], every.move[kept], every.child[kept])

    def _note_illegal(self, codes: Codes, pairs: Indices, width: int) -> None:
        for pair in pairs:
            self.illegal.append((int(codes[pair // width]), int(pair % width)))


def choices(walk: Walk, place: int) -> MoveIds:
    """The moves that the strategy allows in a position met."""
    return walk.graph.move[list(walk.graph.edges_of(place))]
