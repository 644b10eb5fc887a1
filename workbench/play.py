"""A game between a visitor and a strategy under house rules, one input at a time.

`Session` knows nothing of terminals: it takes bytes and gives back what the machine says.
"""

from collections import Counter
from typing import NamedTuple

import numpy as np

from games.codes import DRAW, PLAYERS, UNFINISHED, Codes, win_of
from games.house import HouseRules
from games.housed import HousedGame
from games.inputs import AFTER_END, LEGAL, classify
from games.repetition import repetition_limit
from solver.counts import lines_of_play
from solver.graph import TooLarge
from solver.progress import Progress, Report
from solver.strategy import OPEN, PLAIN, Strategy
from solver.walk import walk

MOST_COUNTED = 100_000
"""Positions: where counting stops, since a visitor waits for the first board."""


class Odds(NamedTuple):
    """How many lines of play there are against a fixed strategy, and how many of them beat it.

    A line on which the strategy has no legal answer beats it as well.
    """

    lines: int
    losing: int


class Session:
    """Games against one strategy, one after the other."""

    def __init__(self, strategy: Strategy, house: HouseRules) -> None:
        fixed = strategy if strategy.choice != OPEN else strategy.fixed(PLAIN)
        self.strategy = fixed
        self.game = HousedGame(strategy.game, house, strategy.seat)
        self.house = house
        self._limit = repetition_limit(self.game)
        self.found: set[tuple[int, ...]] = set()
        """The lines that beat the strategy and that visitors have found so far, as moves."""
        self.begin()

    def odds(self, report: Report | None = None) -> Odds | None:
        """How many lines beat the strategy as it plays here; None where they are endless or too many to count.

        `report` is told how far the work is.
        """

        def told(progress: Progress) -> None:
            if progress.positions > MOST_COUNTED:
                raise TooLarge(progress.positions, MOST_COUNTED)
            if report is not None:
                report(progress)

        try:
            lines = lines_of_play(walk(self.game, self.strategy, told).graph)
        except TooLarge:
            return None
        if lines is None:
            return None
        unanswered = lines["all"] - lines["first"] - lines["second"] - lines["draw"]
        return Odds(lines["all"], lines[PLAYERS[self.game.visitor]] + unanswered)

    def begin(self) -> list[str]:
        """Begin a new game; what the machine says and does until the visitor is asked."""
        self.code = self.game.start
        self.moves: list[int] = []
        self._comings = Counter([self.code])
        return self._machine_until_asked()

    @property
    def is_over(self) -> bool:
        """Whether the game has ended."""
        return self._ending() != UNFINISHED

    def example(self) -> str:
        """What a visitor can type first."""
        if self.is_over or self.is_stuck:
            return self.game.move_names[0]
        return self.game.move_names[int(self.game.moves(self._codes()).move.min())]

    def inputs_in(self, line: bytes) -> list[bytes]:
        """The inputs that a typed line stands for: itself, or its keys one by one on a machine that reads keys."""
        return [line] if self.house.form.kind == "line" else [bytes([key]) for key in line]

    def enter(self, text: bytes) -> list[str]:
        """Take one input of the visitor's; what the machine says and does until it asks again."""
        if self.is_over:  # also by repetition, of which the position knows nothing
            return [self.game.message(self.code, AFTER_END)[1]]
        input_class, move = classify(self.game, self.game.shape, self.code, self.game.seat, text)
        if input_class == LEGAL:
            assert move is not None
            self._make(move)
            return self._machine_until_asked()
        _, message = self.game.message(self.code, input_class)
        cost = self.game.answer(self.code, input_class)
        if cost is None:
            return [message]
        self._make(cost)
        return [message, *self._machine_until_asked()]

    def _ending(self) -> int:
        """How the game has ended, if it has; a position that has come too often is a draw."""
        ending = int(self.game.ending(self._codes())[0])
        is_repeated = self._limit is not None and self._comings[self.code] >= self._limit
        return DRAW if is_repeated and ending == UNFINISHED else ending

    def _codes(self) -> Codes:
        return np.array([self.code], dtype=np.uint64)

    def _make(self, move: int) -> None:
        moves = self.game.moves(self._codes())
        [place] = np.nonzero(moves.move == move)[0]
        self.code = int(moves.child[place])
        self.moves.append(move)
        self._comings[self.code] += 1

    def _machine_until_asked(self) -> list[str]:
        said: list[str] = []
        while not self.is_over and int(self.game.mover(self._codes())[0]) == self.game.seat:
            move = self._machine_move()
            if move is None:
                self.found.add(tuple(self.moves))
                return [*said, "THE STRATEGY HAS NO ANSWER HERE. YOU HAVE FOUND A HOLE."]
            self._make(move)
            said.append(f"{self.house.messages['machine-moves']} {self.game.move_names[move]}")
        if self.is_over:
            said.append(self._outcome())
        return said

    def _machine_move(self) -> int | None:
        """The machine's move, or None if the strategy has no legal one."""
        answers = self.strategy.answers(self.game.fair_codes(self._codes()))
        if not len(answers.move) or self.game.why_not(self._codes(), answers.move[:1])[0]:
            return None
        return int(answers.move[0])

    def _outcome(self) -> str:
        ending = self._ending()
        if ending == DRAW:
            return self.house.messages["draw"]
        if ending == win_of(self.game.seat):
            return self.house.messages["machine-wins"]
        self.found.add(tuple(self.moves))
        return self.house.messages["visitor-wins"]

    @property
    def is_stuck(self) -> bool:
        """Whether the machine is to move and has no answer."""
        return not self.is_over and int(self.game.mover(self._codes())[0]) == self.game.seat

    def drawing(self) -> list[str]:
        """The board as the visitor sees it: the marks, and the names of what can be played."""
        return self.game.drawing(self.code, self.game.seat, named=True)
