"""One seat of a game under its house rules, solved: what all attempts in it share, worked out once in a process."""

from functools import lru_cache

import numpy as np

from games.codes import FIRST, PLAYERS, UNFINISHED, Flags, Indices, distinct
from games.house import load_house_rules
from games.housed import HousedGame
from games.load import load_game
from solver.engines import solve_any
from solver.graph import Graph, explore, reach
from solver.scores import SolvedScores
from solver.solved import Solved, start_values
from solver.strategy import NO_RULE, Strategy
from solver.walk import Walk, walk
from workbench.grading.facts import Facts, every_position
from workbench.grading.play import Play, play_met

MOST_SHARED = 300_000
"""Positions of a game up to which all of them are kept in memory and every attempt is asked in all of them."""
GROUNDS_KEPT = 4


class Ground:
    """A game in one seat: its values; and where it is small enough every position, move and decision of it.

    graph, facts: None where the game has more than MOST_SHARED positions.
    """

    def __init__(self, game: HousedGame) -> None:
        self.game = game
        self.solved: Solved | SolvedScores = solve_any(game)
        self.graph: Graph | None = None
        self.facts: Facts | None = None
        if self.solved.positions <= MOST_SHARED:
            self.graph = explore(game)
            self.facts = Facts(game, self.solved, *every_position(game, self.solved))
            self._edges_at = self.graph.parent * len(game.move_names) + self.graph.move
            self._machine = (self.graph.mover == game.seat) & (self.graph.ending == UNFINISHED)

    @property
    def is_lost(self) -> bool:
        """Whether the seat is lost from the start, whatever is played."""
        if isinstance(self.solved, SolvedScores):
            return self.solved.at_start * (1 if self.game.seat == FIRST else -1) < 0
        return start_values(self.solved)[0] == PLAYERS[self.game.visitor]

    def walked(self, strategy: Strategy) -> tuple[Walk, Play]:
        """Every position that a strategy can meet, and what it plays: in all positions, where these are at hand."""
        if self.graph is None or self.facts is None:
            found = walk(self.game, strategy)
            return found, play_met(found, self.solved)
        play = self._asked_everywhere(strategy, self.facts)
        found = self._walk(strategy, self.graph, play)
        play.met[self.facts.places(found.graph.codes[found.machine])] = True
        return found, play

    def _asked_everywhere(self, strategy: Strategy, facts: Facts) -> Play:
        answers = strategy.answers(self.game.fair_codes(facts.codes))
        met = np.zeros(len(facts), dtype=bool)
        return Play(facts, answers.place, answers.move, answers.rule, met, is_whole=True)

    def _walk(self, strategy: Strategy, graph: Graph, play: Play) -> Walk:
        """The part of the whole graph that a strategy can meet: the same as `solver.walk.walk` finds."""
        at = np.searchsorted(graph.codes, play.facts.codes)
        usable = ~self._machine[graph.parent]
        legal = play.edge >= 0
        width = len(self.game.move_names)
        usable[np.searchsorted(self._edges_at, at[play.place[legal]] * width + play.move[legal])] = True
        ply = _plies_reached(graph, usable)
        kept = np.nonzero(ply >= 0)[0]
        place = np.cumsum(ply >= 0) - 1
        edges = np.nonzero(usable & (ply[graph.parent] >= 0))[0]
        part = Graph(
            self.game,
            self.game.start,
            graph.codes[kept],
            ply[kept],
            place[graph.parent[edges]],
            graph.move[edges],
            place[graph.child[edges]],
        )
        rule = np.full(len(kept), NO_RULE, dtype=np.int16)
        is_met = ply[at] >= 0
        rule[place[at[is_met]]] = play.rule[is_met]
        pairs = zip(at[play.place[~legal]].tolist(), play.move[~legal].tolist(), strict=True)
        illegal = sorted((int(place[position]), move) for position, move in pairs if ply[position] >= 0)
        return Walk(self.game, strategy, part, rule, illegal)


def _plies_reached(graph: Graph, usable: Flags) -> Indices:
    """For each position the first ply on which it is reached over usable moves, -1 for never."""
    ply = np.full(len(graph), -1, dtype=np.intp)
    frontier = np.array([graph.start], dtype=np.intp)
    number = 0
    while len(frontier):
        ply[frontier] = number
        number += 1
        edges = reach(frontier, graph.first_edge)
        children = distinct(graph.child[edges[usable[edges]]])
        frontier = children[ply[children] < 0]
    return ply


@lru_cache(maxsize=GROUNDS_KEPT)
def ground(game: str, house_rules: str, seat: int) -> Ground:
    """The ground of a game by name or file, under house rules, with the machine in a seat (0 first, 1 second)."""
    fair = load_game(game)
    return Ground(HousedGame(fair, load_house_rules(house_rules, fair), seat))
