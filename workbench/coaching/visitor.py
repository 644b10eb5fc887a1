"""A sensible visitor, and the exact chance that such a one finds the hole of a strategy.

A sensible visitor takes a win that is there; else plays so that the machine cannot win at once, if that can be done;
else plays anything.  Of the moves that are left to choose from, each is as likely as the others, and nobody goes wrong
on purpose.  So there is nothing to try out: the chance is worked out from the endings, in whole fractions.
"""

from fractions import Fraction
from typing import NamedTuple

import numpy as np

from games.codes import UNFINISHED, Flags, win_of
from games.game import scored
from games.housed import HousedGame
from solver.counts import lines_of_play
from solver.graph import Graph
from solver.walk import Walk
from workbench.coaching.chances import chances

GAMES = 10
"""After how many games the chance is told besides."""


class Odds(NamedTuple):
    """How hard it is to beat a strategy.

    chance: that a sensible visitor beats it in one game; a game in which it has no legal answer is beaten too.
    lines, losing: how many lines of play there are, and how many of them beat it, as `play` counts them; None where
    play can go round, and there is no end of lines.
    """

    chance: Fraction
    lines: int | None
    losing: int | None

    @property
    def in_ten(self) -> Fraction:
        """The chance to beat it at least once in ten games."""
        return 1 - (1 - self.chance) ** GAMES


def odds_against(walk: Walk) -> Odds | None:
    """The odds against a strategy as it was walked; None where moves score, or too much play goes round.

    Where it leaves a choice open each of its moves is as likely as the others.  A game that never ends is not beaten.
    """
    graph, game = walk.graph, walk.game
    if scored(game) is not None:
        return None
    kept = np.flatnonzero(sensible(graph, game))
    after: list[list[int]] = [[] for _ in range(len(graph))]
    for parent, child in zip(graph.parent[kept].tolist(), graph.child[kept].tolist(), strict=True):
        after[parent].append(child)
    beaten = (graph.ending == win_of(game.visitor)) | (graph.ending == UNFINISHED)
    known = {place: Fraction(int(beaten[place])) for place, others in enumerate(after) if not others}
    found = chances(after, known)
    if found is None:
        return None
    lines = lines_of_play(graph)
    if lines is None:
        return Odds(found[graph.start], None, None)
    machine_wins_or_draws = lines["draw"] + lines["second" if game.seat else "first"]
    return Odds(found[graph.start], lines["all"], lines["all"] - machine_wins_or_draws)


def sensible(graph: Graph, game: HousedGame) -> Flags:
    """Which moves (m,) come into question: all of the machine's, and those that a sensible visitor may play."""
    by_visitor = graph.mover[graph.parent] == game.visitor
    fair = by_visitor & (graph.move < game.fair_moves)
    wins = fair & (graph.ending[graph.child] == win_of(game.visitor))
    careful = fair & ~_can_be_won_at_once(graph, game)[graph.child]
    has_win, has_careful = (_has_one(graph, which)[graph.parent] for which in (wins, careful))
    chosen: Flags = np.where(has_win, wins, np.where(has_careful, careful, fair))
    chosen |= ~by_visitor
    return chosen


def _has_one(graph: Graph, which: Flags) -> Flags:
    """The positions (n,) with a move of some kind."""
    found = np.zeros(len(graph), dtype=bool)
    found[graph.parent[which]] = True
    return found


def _can_be_won_at_once(graph: Graph, game: HousedGame) -> Flags:
    """The positions (n,) in which some legal move wins for the machine, be it one that it would play or not."""
    found = np.zeros(len(graph), dtype=bool)
    at = np.flatnonzero((graph.mover == game.seat) & (graph.ending == UNFINISHED))
    moves = game.moves(graph.codes[at])
    found[at[moves.parent[game.ending(moves.child) == win_of(game.seat)]]] = True
    return found
