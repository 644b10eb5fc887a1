"""Which engine solves a game.  All of them give the same answers; they differ in time and memory.

Each engine knows about how many bytes it needs for a position, so that work which would fill the memory is refused:
before it starts where the number of positions is known, and else as soon as there are too many.
"""

from functools import partial

from games.game import Game, on_board, with_lines
from solver.graph import TooLarge
from solver.journal import Journal
from solver.layers import Tangled, solve_by_layers
from solver.loops import solve_loops
from solver.progress import Report
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
    journal: Journal | None = None,
) -> Solved:
    """Value and distance of every position that can arise from the start (the game's own unless told).

    Raises solver.graph.TooLarge where `memory` bytes do not do, or beyond `limit` positions if that is given.
    A `journal` lets a long run be taken up again (in games that cannot repeat; the fast layouts take no such time).
    """
    fast = _by_a_fast_layout(game, report, limit or memory) if start in (None, game.start) else None
    if fast is not None:
        return fast
    return solve_plainly(game, start, report, limit, memory, journal)


def solve_plainly(
    game: Game,
    start: int | None = None,
    report: Report | None = None,
    limit: int | None = None,
    memory: int = MEMORY,
    journal: Journal | None = None,
) -> Solved:
    """The same with the fast layouts switched off: by the functions that the game gives, and nothing else."""
    if game.can_repeat:
        return solve_loops(game, start, report, limit or memory // BYTES_IN_LOOPS)
    by_layers = partial(solve_by_layers, game, start, report, limit or memory // BYTES_BY_LAYERS, journal)
    try:
        return by_layers(levels_only=True)
    except Tangled:
        pass
    try:
        return solve_loops(game, start, report, limit or memory // BYTES_IN_LOOPS)
    except TooLarge:
        return by_layers()


def _by_a_fast_layout(game: Game, report: Report | None, allowed: int) -> Solved | None:
    """Solve by a layout made for this kind of game, if there is one; they are imported only where they may serve."""
    cells = on_board(game)
    if cells is None or (cells.board.size <= SMALL_BOARD and not game.can_repeat):
        return None
    if game.can_repeat:
        from solver.slides import matrix_bytes, slide_game, solve_slides

        slides = slide_game(game)
        if slides is not None:
            _refuse_if_too_large(matrix_bytes(slides), allowed)
            return solve_slides(slides, report)
    elif with_lines(game) is not None:
        from solver.halves import growing_game, solve_halves, table_bytes

        marks = growing_game(game)
        if marks is not None:
            _refuse_if_too_large(table_bytes(marks), allowed)
            return solve_halves(marks, report)
    return None


def _refuse_if_too_large(needed: int, allowed: int) -> None:
    """Both in bytes, which are about as many as the positions here."""
    if needed > allowed:
        raise TooLarge(needed, allowed)
