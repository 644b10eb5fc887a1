"""The moves of a game of the family *steps*: numbered, named, and what each of them asks of a position.

Men placed come first, then steps, then passing, and last the steps between points that are not joined.
Those can never be made, but people can key them in, and are then told that there is no such step.
"""

from collections.abc import Sequence

import numpy as np

from games.board import Board
from games.codes import Flags, MoveIds

PASS = "pass"

Move = tuple[int, int]
"""From which point to which; a placed man has the same point twice, and passing NOWHERE."""
NOWHERE: Move = (-1, -1)


class StepMoves:
    """Every move that has a name, by its number.

    start, end: (m,) points; placed, passing, step, no_step: (m,) what kind of move it is.
    playable: how many moves can ever be made; they have the lowest numbers.
    """

    __slots__ = ("_number", "end", "names", "no_step", "passing", "placed", "playable", "start", "step")

    def __init__(self, board: Board, joined: Sequence[int], *, places: bool, passes: bool) -> None:
        points = range(board.size)
        pairs = [(start, end) for start in points for end in points if start != end]
        placed = [(point, point) for point in points] if places else []
        steps = [pair for pair in pairs if joined[pair[0]] >> pair[1] & 1]
        passing = [NOWHERE] if passes else []
        no_steps = [pair for pair in pairs if not joined[pair[0]] >> pair[1] & 1]
        every = [*placed, *steps, *passing, *no_steps]
        self._number = {move: number for number, move in enumerate(every)}
        self.names = tuple(_name(board, *move) for move in every)
        self.playable = len(every) - len(no_steps)
        self.start = np.array([max(start, 0) for start, _ in every], dtype=np.uint64)
        self.end = np.array([max(end, 0) for _, end in every], dtype=np.uint64)
        number = np.arange(len(every))
        self.placed: Flags = number < len(placed)
        self.passing: Flags = np.array([move == NOWHERE for move in every])
        self.step: Flags = ~self.placed & ~self.passing
        self.no_step: Flags = number >= self.playable

    def turned(self, images: Sequence[int]) -> MoveIds:
        """Each move's number after every point has gone to its image, (m,)."""
        there = [
            (start, end) if (start, end) == NOWHERE else (images[start], images[end])
            for start, end in self._number
        ]
        return np.array([self._number[move] for move in there], dtype=np.uint16)

    def leads_to(self, move: int) -> int | None:
        """The point where a man stands after a move; None after a pass."""
        return None if self.passing[move] else int(self.end[move])


def _name(board: Board, start: int, end: int) -> str:
    if (start, end) == NOWHERE:
        return PASS
    return board.names[end] if start == end else f"{board.names[start]}-{board.names[end]}"
