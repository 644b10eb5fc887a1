"""What heaps of counters and rows of pins have in common: both players take, until nothing can be taken.

What may be taken is an octal code (games/take/octal.py), so that nim, subtraction games, Kayles and its relatives
are all data.  A code holds each heap's size, or a bit for each pin that stands, so that to take is to subtract.
"""

from abc import abstractmethod
from collections.abc import Iterable, Sequence

import numpy as np
import numpy.typing as npt

from games.bitsets import BitGame
from games.codes import TURN, Bytes, Codes, Flags, MoveIds, MoveList
from games.last_move import LastMove
from games.problems import listed
from games.take.octal import Octal

LETTERS = "abcdefghijklmnopqrstuvwxyz"
"""What heaps and rows are called where there are several."""
NOT_THAT_MANY, WRONG_REST = "not-that-many", "wrong-rest"
"""Why a move may not be played: so many can never be taken; what it leaves may not be left."""
GONE = "."
MOST_DRAWN = 24
"""Counters of a heap, or pins side by side, that a line of a picture can hold."""

Sizes = npt.NDArray[np.intp]
"""(n, p): the sizes of the heaps or rows that each position falls into, 0 where there is none."""
Refused = Iterable[tuple[str, Flags]]
"""Reasons to refuse a move, and where they hold."""


class Taking(LastMove, BitGame):
    """Moves that take, and an end when nothing can be taken.

    A kind of game gives itself, besides what `BitGame` asks for: takes, what each move subtracts from a code;
    numbers, how many it takes; refusals, every reason that this game can ever give, in order.
    """

    def __init__(
        self,
        name: str,
        title: str,
        origin: str,
        size: str,
        turns: Sequence[tuple[Sequence[int], Sequence[int]]],
        start: int,
        octal: Octal,
        misere: bool,
        takes: Sequence[int],
        numbers: Sequence[int],
        refusals: Sequence[str],
    ) -> None:
        """Where each symmetry takes the bits and the moves is given in `turns`, the identity first."""
        bit_images, move_images = zip(*turns, strict=True)
        super().__init__(name, title, origin, size, bit_images, move_images, start)
        self.octal = octal
        self.misere = misere
        self.refusals = tuple(refusals)
        self._takes = np.array(takes, dtype=np.uint64)
        self._numbers = np.array(numbers, dtype=np.uint64)
        self._digits = np.array([octal.digits[number - 1] for number in numbers], dtype=np.uint64)

    @abstractmethod
    def _refused(self, codes: Codes, moves: MoveIds | int) -> Refused:
        """Each reason to refuse and where it holds, the first that fits last: for pairs, or for one move everywhere."""

    @abstractmethod
    def parts(self, codes: Codes) -> Sizes:
        """The heaps or rows into which positions fall; each is a game of its own, and a move is made in one."""

    @property
    @abstractmethod
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 where a move is legal, else 1 + the place in `refusals`."""
        reasons = np.zeros(len(codes), dtype=np.uint8)
        for reason, where in self._refused(codes, moves):
            if reason in self.refusals:  # else an earlier reason holds wherever this one does
                reasons[where] = 1 + self.refusals.index(reason)
        return reasons

    def playable(self, codes: Codes, move: int) -> Flags:
        """In which of these positions one move can be played."""
        playable = np.ones(len(codes), dtype=bool)
        for _, where in self._refused(codes, move):
            playable &= ~where
        return playable

    def moves(self, codes: Codes) -> MoveList:
        """Whatever may be taken; only unfinished positions may be asked about."""
        parents = [np.flatnonzero(self.playable(codes, move)) for move in range(len(self.move_names))]
        parent = np.concatenate(parents)
        move = np.repeat(np.arange(len(parents), dtype=np.uint16), [len(each) for each in parents])
        return MoveList(parent, move, codes[parent] - self._takes[move] ^ TURN)


def counted(numbers: Sequence[int], thing: str) -> str:
    """Numbers of things in words: ``1, 2 or 3 counters``."""
    is_run = len(numbers) > 4 and len(numbers) == numbers[-1] - numbers[0] + 1
    words = f"{numbers[0]} to {numbers[-1]}" if is_run else listed([str(number) for number in numbers])
    return f"{words} {thing}{'' if numbers[-1] == 1 else 's'}"
