"""A game at the stand, followed through the proof: nothing can be played here that the proof has not gone through."""

import hashlib
import json
from collections import Counter
from typing import Any, NamedTuple

import numpy as np

from games.codes import DRAW, FIRST, PLAYERS, UNFINISHED, win_of
from games.game import scored
from games.inputs import AFTER_END, LEGAL, classify
from games.repetition import repetition_limit
from solver.proof import Proof
from workbench.stand.events import MOVED, NOTHING

MACHINE, VISITOR, DRAWN, NO_ANSWER = "machine", "visitor", "draw", "no-answer"
"""How a game can end: who has won, nobody, or the machine had no legal answer."""
_SAID = {MACHINE: "machine-wins", VISITOR: "visitor-wins", DRAWN: "draw"}
_NO_ANSWER_SAID = "THE MACHINE HAS NO ANSWER HERE. YOU HAVE FOUND A HOLE."


class Step(NamedTuple):
    """What comes of an input, or of the start of a game.

    input_class: "" at the start; effect: MOVED, NOTHING, or what the house rules charge; answers: the moves that the
    machine makes after it; result: "" while the game goes on; said: what the visitor is told, a line each.
    """

    input_class: str
    effect: str
    answers: tuple[str, ...]
    result: str
    said: tuple[str, ...]


class Course:
    """One game after another against a strategy whose choices are settled and which has been walked."""

    def __init__(self, proof: Proof) -> None:
        self.proof = proof
        self.game = proof.walk.game
        self._graph = proof.walk.graph
        self._limit = repetition_limit(self.game)
        self._scores = scored(self.game)
        self.begin()

    def begin(self) -> Step:
        """Begin a new game: what the machine does and says until the visitor is asked."""
        self.place = self._graph.start
        self.line: list[int] = []
        """The moves of this game, as numbers of the walk's."""
        self.result = ""
        self._ahead = 0
        self._comings = Counter([self.place])
        return self._machine_goes_on("", "", ())

    def enter(self, text: bytes) -> Step:
        """Take one input of the visitor's: what it comes to, and what the machine does until it asks again."""
        if self.result:
            return Step(AFTER_END, NOTHING, (), self.result, (self.game.message(self.code, AFTER_END)[1],))
        input_class, move = classify(self.game, self.game.shape, self.code, self.game.seat, text)
        said: tuple[str, ...] = ()
        effect = MOVED
        if input_class != LEGAL:
            said = (self.game.message(self.code, input_class)[1],)
            move = self.game.answer(self.code, input_class)
            effect = NOTHING if move is None else self.game.move_names[move].strip("()")
        if move is None:
            return Step(input_class, effect, (), "", said)
        edges = self._graph.edges_of(self.place)
        self._follow(next(edge for edge in edges if self._graph.move[edge] == move))
        return self._machine_goes_on(input_class, effect, said)

    @property
    def plies(self) -> int:
        """How many plies have been made."""
        return len(self.line)

    @property
    def machine_places(self) -> list[int]:
        """Where the machine has had to move in this game, as places in the walk."""
        before = self._graph.parent[self.line].tolist() if self.line else []
        return [place for place in (*before, self.place) if self.proof.walk.machine[place]]

    @property
    def code(self) -> int:
        """The position."""
        return int(self._graph.codes[self.place])

    def inputs_in(self, line: bytes) -> list[bytes]:
        """The inputs that a typed line stands for: itself, or its keys one by one on a machine that reads keys."""
        return [line] if self.game.house.form.kind == "line" else [bytes([key]) for key in line]

    def drawing(self) -> list[str]:
        """The board as the visitor sees it, with the names of what can be played."""
        return self.game.drawing(self.code, self.game.seat, named=True)

    def example(self) -> str:
        """What a visitor can type here; the first move of all where nothing can be played."""
        edges = list(self._graph.edges_of(self.place))
        return self.game.move_names[int(self._graph.move[edges].min()) if edges else 0]

    def points(self) -> str:
        """Who is ahead in a game in which moves score; nothing elsewhere."""
        if self._scores is None:
            return ""
        if not self._ahead:
            return "Nobody is ahead."
        return f"{'You are' if self._ahead < 0 else 'The machine is'} {abs(self._ahead)} ahead."

    def _follow(self, edge: int) -> None:
        graph = self._graph
        if self._scores is not None:
            gain = self._scores.gains(graph.codes[graph.parent[edge : edge + 1]], graph.move[edge : edge + 1])
            self._ahead += int(gain[0]) * (1 if self.game.seat == FIRST else -1)
        self.place = int(graph.child[edge])
        self.line.append(edge)
        self._comings[self.place] += 1

    def _machine_goes_on(self, input_class: str, effect: str, said: tuple[str, ...]) -> Step:
        answers: list[str] = []
        told = list(said)
        while not (ending := self._ending()) and self._graph.mover[self.place] == self.game.seat:
            edges = self._graph.edges_of(self.place)
            if not edges:
                self.result = NO_ANSWER
                return Step(input_class, effect, tuple(answers), NO_ANSWER, (*told, _NO_ANSWER_SAID))
            answers.append(self.game.move_names[int(self._graph.move[edges[0]])])
            told.append(f"{self.game.house.messages['machine-moves']} {answers[-1]}")
            self._follow(edges[0])
        if ending:
            self.result = ending
            told.append(self.game.house.messages[_SAID[ending]])
        return Step(input_class, effect, tuple(answers), self.result, tuple(told))

    def _ending(self) -> str:
        """How the game has ended, if it has; a position that has come too often is a draw."""
        ending = int(self._graph.ending[self.place])
        if ending == UNFINISHED:
            return DRAWN if self._limit is not None and self._comings[self.place] >= self._limit else ""
        if ending == DRAW:  # where moves score, every ending looks so, and who is ahead has won
            return MACHINE if self._ahead > 0 else VISITOR if self._ahead < 0 else DRAWN
        return MACHINE if ending == win_of(self.game.seat) else VISITOR


def bond(proof: Proof) -> dict[str, Any]:
    """What binds a log to a strategy: names for people, and digests of the game, the house rules and all of its play.

    Remarks in a sheet change none of them; a rule that is never used does not either.
    """
    game, house, graph = proof.walk.game, proof.house, proof.walk.graph
    play = hashlib.sha256()
    for array in (graph.codes, graph.parent, graph.move, graph.child):
        play.update(np.ascontiguousarray(array, dtype="<u8").tobytes())
    form = [house.form, house.rules, sorted(house.messages.items()), house.layout, house.next_game]
    return {
        "game": game.name,
        "seat": PLAYERS[game.seat],
        "house_rules": house.name,
        "strategy": proof.walk.strategy.name,
        "game_digest": _digest([game.fair.move_names, game.rules, game.start]),
        "house_rules_digest": _digest(form),
        "play_digest": play.hexdigest(),
    }


def _digest(value: Any) -> str:
    return hashlib.sha256(json.dumps(value).encode()).hexdigest()
