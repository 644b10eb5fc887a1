"""Which engine solves a game.  All of them give the same answers; they differ in time and memory.

Each engine knows about how many bytes it needs for a position, so that work which would fill the memory is refused:
before it starts where the number of positions is known, and else as soon as there are too many.
"""

from games.game import Game
from games.marks import Marks
from solver.graph import Report, TooLarge
from solver.halves import solve_halves, table_bytes
from solver.layers import solve_by_layers
from solver.loops import solve_loops
from solver.solved import Solved

MEMORY = 2 << 30
"""Bytes that may be used unless told otherwise: what a classroom machine can spare."""
BYTES_BY_LAYERS = 50
"""For each position, measured on 4 x 4: its code and score, and its share of the moves that are being made."""
BYTES_IN_LOOPS = 400
"""For each position: every move is kept, there and back."""
SMALL_BOARD = 10
"""Cells up to which the layers are quicker than setting up the halves."""


def solve_game(
    game: Game,
    start: int | None = None,
    report: Report | None = None,
    limit: int | None = None,
    memory: int = MEMORY,
) -> Solved:
    """Value and distance of every position that can arise from the start (the game's own unless told).

    Raises solver.graph.TooLarge where `memory` bytes do not do, or beyond `limit` positions if that is given.
    """
    if has_halves(game) and start in (None, game.start):
        assert isinstance(game, Marks)
        _refuse_if_too_large(table_bytes(game), limit or memory)
        return solve_halves(game, report)
    if game.can_repeat:
        return solve_loops(game, start, report, limit or memory // BYTES_IN_LOOPS)
    return solve_by_layers(game, start, report, limit or memory // BYTES_BY_LAYERS)


def has_halves(game: Game) -> bool:
    """Whether the engine of the two halves is the one for a game: marks are only added, and there are many cells."""
    return isinstance(game, Marks) and game.board.size > SMALL_BOARD


def _refuse_if_too_large(needed: int, allowed: int) -> None:
    """Both in bytes, which are positions here."""
    if needed > allowed:
        raise TooLarge(needed, allowed)
