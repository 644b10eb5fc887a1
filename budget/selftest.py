"""The morning run: a few games that, between them, try everything that a program has stored.

What is to be tried are the answers that it looks up, the rules by which it moves, how games can end, and what wrong
input can bring about.
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np

from budget.building import Product
from budget.conversation import Conversation, State
from budget.covering import Game, Item, covering
from budget.forms import AS_WRITTEN
from budget.machine.channel import printed
from budget.programs import machine_for
from games.codes import UNFINISHED
from games.game import least_images
from solver.fixed import PLAIN, FixedPlay

RULE, ANSWER, ENDING, WRONG = "rules", "answers", "endings", "wrong_inputs"
"""What a position tries: RULE and its number; ANSWER, the rule that looks it up and the board; ENDING and which; WRONG
and the number of a ply that is wrong input.  Of wrong input that changes nothing, an example is put in on the way."""
LONGEST_REPLY = 20_000_000
"""Instructions in which a program answers that has been held against its play."""


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
