"""How fast a machine is: the time of an instruction, of a character, and a store that turns.

All times are exact: whole cycles, and a cycle is a fraction of a second.
"""

from fractions import Fraction
from typing import NamedTuple


class Turning(NamedTuple):
    """A store that turns: a head meets one word after another, and `words` of them pass in a turn.

    `spacing`: how many words after an address the next one passes, coprime to `words`; 1 if they follow one another.
    """

    words: int
    spacing: int

    def angle(self, address: int) -> int:
        """When in a turn the word of this address passes, in words: 0 to ``words - 1``."""
        return address * self.spacing % self.words

    def wait(self, now: int, address: int) -> int:
        """How many words pass before that of this address, `now` words after the store was at angle 0."""
        return (self.angle(address) - now) % self.words


class Pace(NamedTuple):
    """How long instructions take: a `cycle` in seconds, and for each order, by name, how many cycles it takes.

    Where the store turns, a cycle is the time in which one word passes, and what an order takes is counted after
    its words, and that which it works on, have passed.
    """

    cycle: Fraction
    cycles: dict[str, int]
    turning: Turning | None
