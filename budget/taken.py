"""What the replies of a program take: instructions, seconds, characters; the worst of them, and all together."""

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from budget.card import CostCard
from budget.conversation import State
from budget.herds import Flags

Fed = tuple[int, tuple[int, ...]]
"""A state, by its number among those of a round, and an input in it."""


class Reply(NamedTuple):
    """What one input takes.

    instructions; thinking, printing: seconds, 0 where the card does not say; characters: how many are printed;
    code, over, typed: the position in which it was typed, whether the game was over, and the codes.
    """

    instructions: int
    thinking: Fraction
    printing: Fraction
    characters: int
    code: int
    over: bool
    typed: tuple[int, ...]

    @property
    def seconds(self) -> Fraction:
        """Thinking and printing together."""
        return self.thinking + self.printing


class Tally:
    """What inputs take, added up as they are fed.

    cycle, character: seconds that one takes, 0 where the card does not say; inputs, replies: how many were fed, and how
    many of them were answered; sums: instructions, cycles and characters of those that were.
    """

    def __init__(self, card: CostCard) -> None:
        pace, printing = card.program.pace, card.program.printing
        self.cycle = pace.cycle if pace else Fraction(0)
        self._least = min(pace.cycles.values()) if pace else 0
        self.character = Fraction(1, card.characters.words_each) / printing if printing else Fraction(0)
        self.inputs = self.replies = 0
        self.sums = np.zeros(3, dtype=np.int64)
        self.worst = self.slowest = self.reply((0, 0, 0), State(0, over=False, case=0), ())

    def reply(self, took: Sequence[int], state: State, typed: tuple[int, ...]) -> Reply:
        """What an input takes, told from its instructions, cycles and characters."""
        instructions, cycles, characters = took
        thinking, printing = cycles * self.cycle, characters * self.character
        return Reply(instructions, thinking, printing, characters, state.code, state.over, typed)

    def instructions_in(self, seconds: float, characters: int, most: int) -> int:
        """So many instructions, at most `most`, take at least so many seconds, with so many characters printed."""
        rest, quickest = Fraction(seconds) - characters * self.character, self.cycle * self._least
        return most if not quickest else max(0, min(most, int(rest / quickest) + 1))

    def add(
        self, took: npt.NDArray[np.int64], fed: Sequence[Fed], states: Sequence[State], answered: Flags
    ) -> None:
        """Add what was fed side by side: `took`, (n, 3), has instructions, cycles and characters."""
        self.inputs += len(fed)
        self.replies += int(answered.sum())
        self.sums += took[answered].sum(axis=0)
        seconds = took[:, 1] * float(self.cycle) + took[:, 2] * float(self.character)
        for place in (int(took[:, 0].argmax()), int(seconds.argmax())):
            number, typed = fed[place]
            reply = self.reply(took[place].tolist(), states[number], typed)
            self.worst = max(self.worst, reply, key=lambda each: each.instructions)
            self.slowest = max(self.slowest, reply, key=lambda each: each.seconds)
