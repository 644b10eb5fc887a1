"""The morning run: a few games that, between them, try everything that a program has stored.

What is to be tried are the answers that it looks up, the rules by which it moves, and how games can end.  A game is
a line of play that reaches each position in as few plies as can be.  The games are picked greedily: always the one
that tries most of what is left, and among those one with fewest inputs; then those go that the others make
unnecessary.  So there may be a set with fewer games; none is left out that this set needs.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np

from budget.building import Product
from budget.conversation import Conversation, State
from budget.forms import AS_WRITTEN
from budget.machine.channel import printed
from budget.programs import machine_for
from games.codes import UNFINISHED, Indices
from games.game import least_images
from solver.fixed import PLAIN, FixedPlay
from solver.graph import Graph

RULE, ANSWER, ENDING = "rules", "answers", "endings"
"""What a position tries: a rule, a stored answer, a way to end."""
WRONG = "wrong_inputs"
"""What wrong input that is a ply brings about.  Of what changes nothing, an example is put in on the way."""
LONGEST_REPLY = 20_000_000
"""Instructions in which a program answers that has been held against its play."""
Item = tuple[str, int, int]
"""What is to be tried: RULE and its number; ANSWER, the rule that looks it up and the board; ENDING and which; WRONG
and the number of such a ply."""
Game = tuple[int, ...]
"""A line of play by the places of its positions."""


class Entry(NamedTuple):
    """One input of the run: what is typed, and what the machine then prints."""

    typed: str
    printed: str


class SelfTest(NamedTuple):
    """A run from the start of the machine.

    begins: what is printed when it is started; games: the inputs of each, the first of which begins it where the last
    has to be got over; restarts: the games, from 1, before which the machine has to be started anew, because the one
    before has no end; tried: how many rules, answers, endings and answers to wrong input there are: it tries them all.
    """

    name: str
    begins: str
    games: tuple[tuple[Entry, ...], ...]
    restarts: tuple[int, ...]
    tried: dict[str, int]

    @property
    def inputs(self) -> int:
        """How many inputs it takes."""
        return sum(map(len, self.games))

    def as_json(self) -> dict[str, Any]:
        """The run by its JSON keys."""
        games = [[entry._asdict() for entry in game] for game in self.games]
        return {
            "begins": self.begins,
            "inputs": self.inputs,
            "tried": self.tried,
            "restarts": list(self.restarts),
            "games": games,
        }


class Wrong(Exception):
    """A machine that does not print in its morning run what it should."""


def self_test(product: Product, name: str) -> SelfTest:
    """The morning run of a program, which has been run on the simulated machine.

    Raises Wrong if that prints anything else: a fault of ours.
    """
    play, card = product.form.play, product.lowered.program.card
    items = items_of(play, is_table=product.form.name != AS_WRITTEN)
    games = covering(play.graph, play.game.seat, items)
    script = _Script(play, product)
    told: list[tuple[Entry, ...]] = []
    restarts = []
    begins = script.start()
    for number, game in enumerate(games, 1):
        if number > 1 and not script.is_at_start:
            restarts.append(number)
            script.start()
        told.append(tuple(script.play(game)))
    every = {item for each in items for item in each}
    tried = {kind: sum(item[0] == kind for item in every) for kind in (RULE, ANSWER, ENDING)}
    tried[WRONG] = len(script.answered)
    return SelfTest(name, printed(card, begins), tuple(told), tuple(restarts), tried)


# What is to be tried ------------------------------------------------------------------------------------------


def items_of(play: FixedPlay, *, is_table: bool) -> list[set[Item]]:
    """For each position of a play what is tried when it comes up; is_table: whether a table answers everywhere."""
    graph = play.graph
    items: list[set[Item]] = [set() for _ in range(len(graph))]
    for place in np.flatnonzero(graph.ending != UNFINISHED).tolist():
        items[place].add((ENDING, int(graph.ending[place]), 0))
    machine = np.flatnonzero((graph.mover == play.game.seat) & (graph.ending == UNFINISHED))
    boards = play.game.fair_codes(graph.codes[machine])
    if play.reading != PLAIN:
        boards = least_images(play.game.fair, boards)[0]
    proof = play.proof
    for place, board in zip(machine.tolist(), boards.tolist(), strict=True):
        rule = -1 if proof is None else int(proof.walk.rule[place])
        if is_table or proof is None:
            items[place].add((ANSWER, 0, board))
            continue
        items[place].add((RULE, rule, 0))
        if proof.walk.strategy.rules[rule].stores_answers:
            items[place].add((ANSWER, rule, board))
    _add_wrong(play, items)
    return items


def _add_wrong(play: FixedPlay, items: list[set[Item]]) -> None:
    """Add the plies that are wrong input, each to the positions to which nothing else leads."""
    graph = play.graph
    ways = np.bincount(graph.child, minlength=len(graph))
    for move in np.unique(graph.move[graph.move >= play.game.fair_moves]).tolist():
        by_this = np.bincount(graph.child[graph.move == move], minlength=len(graph))
        for place in np.flatnonzero((by_this > 0) & (by_this == ways)).tolist():
            items[place].add((WRONG, move, 0))


# Which games --------------------------------------------------------------------------------------------------


def covering(graph: Graph, seat: int, items: Sequence[set[Item]]) -> list[Game]:
    """Lines of play that have every item between them, in the order in which they were found; seat: the machine's."""
    lines = _Lines(graph, seat)
    left: set[Item] = set().union(*items)
    games: list[Game] = []
    while left:
        game = lines.best(np.array([len(each & left) for each in items], dtype=np.int64))
        left -= set().union(*(items[place] for place in game))
        games.append(game)
    return _needed(games, items)


def _needed(games: Sequence[Game], items: Sequence[set[Item]]) -> list[Game]:
    """The games without those that try nothing which the others do not; the latest are asked first."""
    tried = [set().union(*(items[place] for place in game)) for game in games]
    kept = list(range(len(games)))
    for number in reversed(range(len(games))):
        others: set[Item] = set().union(*(tried[other] for other in kept if other != number))
        if tried[number] <= others:
            kept.remove(number)
    return [games[number] for number in kept]


class _Lines:
    """Lines of play in which each move leads one ply further from the start than any position before it."""

    def __init__(self, graph: Graph, seat: int) -> None:
        self._graph = graph
        self._seat = seat
        ply = np.asarray(graph.ply)
        forward = np.flatnonzero(ply[graph.child] == ply[graph.parent] + 1)
        order = forward[np.argsort(-ply[graph.parent[forward]], kind="stable")]
        bounds = np.flatnonzero(np.diff(ply[graph.parent[order]])) + 1
        self._by_ply: list[Indices] = [part for part in np.split(order, bounds) if len(part)]
        self._plies = int(ply.max()) + 2
        self._to_end = _plies_to_end(graph)

    def best(self, gains: np.ndarray[Any, np.dtype[np.int64]]) -> Game:
        """The line that gains most, and of those one of the shortest; it goes on to the nearest end if there is one."""
        graph = self._graph
        worth = gains * self._plies - 1
        follow = np.full(len(graph), -1, dtype=np.intp)
        for edges in self._by_ply:  # the last plies first
            parents, children = graph.parent[edges], graph.child[edges]
            most = np.full(len(graph), -1, dtype=np.int64)
            np.maximum.at(most, parents, worth[children])
            chosen = edges[worth[children] == most[parents]][::-1]
            follow[graph.parent[chosen]] = graph.child[chosen]  # of equals the first
            worth[np.unique(parents)] += np.maximum(most, 0)[np.unique(parents)]
        line = [graph.start]
        while follow[line[-1]] >= 0 and worth[follow[line[-1]]] > 0:
            line.append(int(follow[line[-1]]))
        return (*line, *self._end_from(line[-1]))

    def _end_from(self, place: int) -> list[int]:
        """The positions after one on a shortest way to an end; to the visitor's turn, if none leads there."""
        graph, steps = self._graph, []
        while graph.ending[place] == UNFINISHED:
            edges = graph.edges_of(place)
            is_lost = self._to_end[place] < 0
            if is_lost and graph.mover[place] != self._seat:
                break
            children = graph.child[edges.start : edges.stop].tolist()
            place = children[0] if is_lost else min(children, key=self._after)
            steps.append(place)
        return steps

    def _after(self, place: int) -> float:
        to_end = int(self._to_end[place])
        return float("inf") if to_end < 0 else to_end


def _plies_to_end(graph: Graph) -> Indices:
    """For each position how many plies the shortest way to an end takes; -1 where there is none."""
    plies = np.where(graph.ending != UNFINISHED, 0, -1).astype(np.intp)
    reached, ply = plies == 0, 0
    while reached.any():
        ply += 1
        parents = np.unique(graph.parent[reached[graph.child]])
        parents = parents[plies[parents] < 0]
        plies[parents] = ply
        reached = np.zeros(len(graph), dtype=np.bool_)
        reached[parents] = True
    return plies


# What is typed and printed ------------------------------------------------------------------------------------


class _Script:
    """Plays games through on the simulated machine, and holds what it prints against what it should."""

    def __init__(self, play: FixedPlay, product: Product) -> None:
        self._game = play.game
        self._graph = play.graph
        self._program = product.lowered.program
        self._talk = Conversation(play, self._program.card)
        self._state: State = self._talk.begin()[0]
        self.answered: set[int] = set()
        """The house rules that have answered wrong input so far."""

    @property
    def is_at_start(self) -> bool:
        """Whether the next input belongs to a new game, or to the end of the last."""
        return self._state.over or self._state.code == self._talk.begin()[0].code

    def start(self) -> tuple[int, ...]:
        """Start the machine: what it prints."""
        self._machine = machine_for(self._program)
        self._state, said = self._talk.begin()
        self._compare(said)
        return said

    def play(self, game: Game) -> list[Entry]:
        """The inputs of a game, one after another."""
        entries = []
        if self._state.over:
            entries.append(self._enter(self._game.fair.move_names[0]))
        for place, after in pairwise(game):
            if self._graph.mover[place] != self._game.seat:
                entries.extend(self._enter(text) for text in self._wrong(int(self._graph.codes[place])))
                entries.append(self._enter(self._text(place, after)))
        return entries

    def _wrong_ply(self, code: int, move: int) -> str:
        """Wrong input that is this ply in a position, if there is some that a house rule answers for the first time."""
        classes = [
            (self._game.house.rule_for(name), text)
            for name, where in self._game.possible(np.array([code], dtype=np.uint64)).items()
            if where[0] and self._game.answer(code, name) == move
            if self._talk.can_be_typed(text := self._game.input_of(code, name))
        ]
        number, text = min(classes, key=lambda each: each[0] in self.answered)
        self.answered.add(number)
        return text

    def _wrong(self, code: int) -> Iterator[str]:
        """Wrong input that changes nothing in a position, for each house rule that has not answered any so far."""
        for name, where in self._game.possible(np.array([code], dtype=np.uint64)).items():
            number = self._game.house.rule_for(name)
            if where[0] and number not in self.answered and self._game.answer(code, name) is None:
                text = self._game.input_of(code, name)
                if self._talk.can_be_typed(text):
                    self.answered.add(number)
                    yield text

    def _text(self, place: int, after: int) -> str:
        """What the visitor types to come from one position to the next."""
        edges = self._graph.edges_of(place)
        move = next(int(self._graph.move[edge]) for edge in edges if self._graph.child[edge] == after)
        if move < self._game.fair_moves:
            return self._game.fair.move_names[move]
        return self._wrong_ply(int(self._graph.codes[place]), move)

    def _enter(self, text: str) -> Entry:
        keys = self._talk.keys(self._state, text)
        self._state, said = self._talk.enter(self._state, keys)
        self._machine.passed.clear()
        self._machine.feed(keys)
        self._compare(said)
        return Entry(text, printed(self._program.card, said))

    def _compare(self, said: Sequence[int]) -> None:
        self._machine.run(LONGEST_REPLY)
        if list(self._machine.passed) != list(said):
            raise Wrong("the machine does not print in its morning run what it should")
