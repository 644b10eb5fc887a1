"""Every line of play against a program, told from the rules of the game alone.

A line goes from the start of the machine to the end of a game, and one input further, by which the next game begins.
At each wait the visitor makes every legal move; what is charged or counted is a move as well.  Besides, in each
position wrong input of every class that changes nothing is typed once, and there the line ends.
"""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np

from budget.card import CostCard
from budget.closing import Unfinished
from budget.conversation import Conversation, State
from games.inputs import AFTER_END
from solver.fixed import FixedPlay

MOST_WAITS = 20_000
START = -1
"""The wait from which the machine is started."""


class Step(NamedTuple):
    """An input and what comes of it.

    wait: the number of the wait at which it is typed; text, typed: what is typed, and its codes; said: the codes that
    are due; after: where the game stands then; leads: the number of the wait that follows, None where the line ends;
    ends: whether a game is over by it, also where the next has begun at once.
    """

    wait: int
    text: str
    typed: tuple[int, ...]
    said: tuple[int, ...]
    after: State
    leads: int | None
    ends: bool = False


class Lines(NamedTuple):
    """All lines of play.

    begins: what is printed at the start of the machine; waits: where the game stands at each wait, 0 the first; steps:
    all inputs, in the order of their waits; levels: the numbers of the steps at the first wait, at those after it, ...
    """

    begins: tuple[int, ...]
    waits: tuple[State, ...]
    steps: tuple[Step, ...]
    levels: tuple[tuple[int, ...], ...]

    @property
    def games(self) -> int:
        """How many lines there are from the start to the end of a game."""
        return len(self.endings())

    def endings(self) -> list[int]:
        """The steps by which a game is over, or the next has begun at once."""
        return [number for number, step in enumerate(self.steps) if step.ends]

    def way_to(self, number: int) -> list[int]:
        """The steps from the start up to one."""
        before = {step.leads: place for place, step in enumerate(self.steps) if step.leads is not None}
        way = [number]
        while self.steps[way[-1]].wait:
            way.append(before[self.steps[way[-1]].wait])
        return way[::-1]


class Texts:
    """What is typed in a state: the visitor's legal moves, and an example of each class of wrong input."""

    def __init__(self, play: FixedPlay, card: CostCard, talk: Conversation) -> None:
        self._game = play.game
        self._talk = talk
        self._known: dict[int, tuple[dict[str, int], tuple[str, ...]]] = {}

    def moves(self, state: State) -> tuple[str, ...]:
        """Legal moves, and wrong input that changes the position; after the end the input that begins a game."""
        return (self._game.fair.move_names[0],) if state.over else tuple(self.changes(state.code))

    def wrong(self, state: State) -> tuple[str, ...]:
        """Wrong input that changes nothing."""
        return () if state.over else self._both(state.code)[1]

    def changes(self, code: int) -> dict[str, int]:
        """What changes a position in which the game goes on: texts, and the moves of the housed game that they are."""
        return self._both(code)[0]

    def keys(self, state: State, text: str) -> tuple[int, ...]:
        """The codes of a text, typed in a state."""
        return self._talk.keys(state, text)

    def _both(self, code: int) -> tuple[dict[str, int], tuple[str, ...]]:
        if code not in self._known:
            self._known[code] = self._found(code)
        return self._known[code]

    def _found(self, code: int) -> tuple[dict[str, int], tuple[str, ...]]:
        codes = np.array([code], dtype=np.uint64)
        numbers = sorted(
            move for move in self._game.moves(codes).move.tolist() if move < self._game.fair_moves
        )
        moves = {self._game.fair.move_names[move]: move for move in numbers}
        wrong: list[str] = []
        for name, where in sorted(self._game.possible(codes).items()):
            if name == AFTER_END or not where[0]:
                continue
            text = self._game.input_of(code, name)
            if self._talk.can_be_typed(text):
                move = self._game.answer(code, name)
                if move is None:
                    wrong.append(text)
                else:
                    moves.setdefault(text, move)
        return moves, tuple(dict.fromkeys(wrong))


def lines_of(texts: Texts, talk: Conversation) -> Lines:
    """All lines of play.  Raises Unfinished where there are more than MOST_WAITS waits."""
    first, begins = talk.begin()
    waits, levels = [first], []
    steps: list[Step] = []
    level = [0]
    while level:
        numbers: list[int] = []
        following: list[int] = []
        for wait in level:
            for step in _steps_at(wait, waits[wait], texts, talk):
                ends = waits[wait].over or (step.ends and not step.after.over)
                goes_on = step.leads is not None and not ends
                leads = len(waits) if goes_on else None
                if goes_on:
                    following.append(len(waits))
                    waits.append(step.after)
                numbers.append(len(steps))
                steps.append(step._replace(leads=leads))
        if len(waits) > MOST_WAITS:
            raise Unfinished(f"its lines of play have more than {MOST_WAITS:,} waits for input")
        levels.append(tuple(numbers))
        level = following
    return Lines(begins, tuple(waits), tuple(steps), tuple(levels))


def _steps_at(wait: int, state: State, texts: Texts, talk: Conversation) -> Iterator[Step]:
    """The inputs at a wait; `leads` is None only for those that change nothing."""
    for text, leads in [
        *((text, 0) for text in texts.moves(state)),
        *((text, None) for text in texts.wrong(state)),
    ]:
        typed = talk.keys(state, text)
        course = talk.course(state, typed)
        yield Step(wait, text, typed, course.said, course.state, leads, course.final is not None)
