"""How many bits a table must have at least: from how many moves there are on its boards, and how many are as good.

Boards that play cannot meet, and those that rules answer first, cost nothing.
"""

import math
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from budget.boards import stored_answers
from games.codes import by_parent
from solver.fixed import FixedPlay
from solver.graph import explore
from solver.values import best_play


class Bound(NamedTuple):
    """Bits below which tables cannot go.

    this_play: no way to write tables down holds every play on the stored boards in fewer bits; any_as_good: none in
    fewer holds some play that is as good on each of them, for all ways in which good moves can be spread.
    """

    this_play: float
    any_as_good: float


def bound_of(play: FixedPlay) -> Bound:
    """The bound of the boards that a play's table stores; a move is as good if it keeps the value of the fair game."""
    codes, _ = stored_answers(play)
    fair = play.game.fair
    graph = explore(fair)
    value = best_play(graph).value
    legal = by_parent(fair.moves(codes))
    good = value[graph.places(legal.child)] == value[graph.places(codes)][legal.parent]
    as_good = np.bincount(legal.parent[good], minlength=len(codes))
    this_play = bits_of_this_play(play)
    return Bound(this_play, this_play - _bits(as_good))


def bits_of_this_play(play: FixedPlay) -> float:
    """The first half of the bound, which needs no values: no table holds every play on these boards in fewer bits."""
    codes, _ = stored_answers(play)
    return _bits(np.bincount(by_parent(play.game.fair.moves(codes)).parent, minlength=len(codes)))


def _bits(counts: npt.NDArray[np.intp]) -> float:
    """The sum of log2 of the counts, to a thousandth, added up in one order: the same on every computer."""
    return round(math.fsum(math.log2(count) for count in counts.tolist()), 3)
