"""A table for the machine's first turns, and other rules behind it: the program counts its turns, not its boards."""

import numpy as np

from budget.lowering.answering import Answering
from budget.lowering.answering.asked import Asked, InFirstTurns, Stored
from budget.lowering.answering.looked_up import answering as looked_up
from budget.lowering.ground import Ground, Setting
from budget.lowering.text import NotLowered, Text
from games.codes import Codes, Indices, distinct
from solver.fixed import PLAIN, FixedPlay
from solver.graph import Graph, reach
from solver.meanings import LooksUp

MOST_TURNS = 64
"""Play in which the machine moves more often is taken to have no end."""


def answering(asked: Asked, setting: Setting, ground: Ground) -> Answering | None:
    """The way for such a table."""
    if not isinstance(asked.meaning, InFirstTurns):
        return None
    way = looked_up(asked._replace(meaning=asked.meaning.stored), setting, ground)
    if way is None:
        raise NotLowered("nothing is looked up in the first turns")
    return _FirstTurns(setting.text, asked.meaning.turns, way)


class _FirstTurns:
    """Looks up while turns are left.  It follows the game from its start, as `following.Following` says."""

    def __init__(self, text: Text, turns: int, way: Answering) -> None:
        text.needs(-turns, 0, f"a count of {turns} turns")
        self._text, self._turns, self._way = text, turns, way

    def set_up(self) -> None:
        """All turns are left."""
        self._text.number(-self._turns)
        self._text.op("store", self._text.variable("turns_left", remark="by the table, negative"))

    def visitor_moves(self) -> None:
        """Nothing: only the machine's own turns count."""

    def turn_lost(self) -> None:
        """Nothing either."""

    def answer(self, found: str) -> None:
        """By the table while turns are left; fall through after them."""
        later = self._text.fresh("later")
        self._text.ops("load turns_left", f"ifzero {later}", "count turns_left")
        self._way.answer(found)
        self._text.label(later)


def in_first_turns(rules: list[Asked], play: FixedPlay) -> list[Asked] | None:
    """The rules with a table in front that is asked in the first turns alone; None where theirs is no such table."""
    first = rules[0]
    if play.reading != PLAIN or not isinstance(first.meaning, LooksUp) or first.always:
        return None
    turns, stored = boards_by_turn(play), set(first.codes[first.answers].tolist())
    count = next((count for count in range(1, len(turns)) if _together(turns[:count]) == stored), None)
    if count is None or stored & _together(turns[count:]):
        return None
    codes, moves = first.codes[first.answers], first.moves[first.answers]
    table = Stored(FixedPlay(play.game, PLAIN, play.graph, codes, moves))
    here = Asked(InFirstTurns(table, count), codes, moves, np.ones(len(codes), dtype=np.bool_))
    return [here, *rules[1:]]


def _together(turns: list[Codes]) -> set[int]:
    return {code for codes in turns for code in codes.tolist()}


def boards_by_turn(play: FixedPlay) -> list[Codes]:
    """The boards on which the machine makes its first move in a play, its second, and so on; none if without end."""
    graph, game = play.graph, play.game
    turns: list[Codes] = []
    ready = np.array([graph.start], dtype=np.intp)
    while len(own := _machines(graph, ready, game.seat)):
        if len(turns) == MOST_TURNS:
            return []
        turns.append(np.unique(game.fair_codes(graph.codes[own])))
        ready = distinct(graph.child[reach(own, graph.first_edge)])
    return turns


def _machines(graph: Graph, ready: Indices, seat: int) -> Indices:
    """The positions with the machine to move that the visitor's plies lead to from these."""
    seen = np.zeros(len(graph), dtype=np.bool_)
    own = np.zeros(len(graph), dtype=np.bool_)
    goes_on = np.diff(graph.first_edge) > 0
    while len(ready):
        seen[ready] = True
        mine = (graph.mover[ready] == seat) & goes_on[ready]
        own[ready[mine]] = True
        after = distinct(graph.child[reach(ready[~mine], graph.first_edge)])
        ready = after[~seen[after]]
    return np.flatnonzero(own)
