"""Which engine solves a game.  All of them give the same answers; they differ in time and memory.

Each engine plans its memory: before it starts where the number of positions is known beforehand, and else as soon as
they have been counted.  What would take more than may be used is refused.
"""

from functools import partial
from typing import TYPE_CHECKING

from games.game import Game, on_board, scored, with_lines
from games.problems import bad
from games.repetition import without_repetition_limit
from solver.forward import EndlessPlay, Tangled
from solver.graph import TooLarge
from solver.layers import solve_by_layers
from solver.progress import Report
from solver.run import MEMORY, NoJournal, Run
from solver.solved import Solved

if TYPE_CHECKING:
    from solver.scores import SolvedScores

SMALL_BOARD = 10
"""Cells up to which the layers are quicker than setting up the halves."""


def solve_any(
    game: Game,
    start: int | None = None,
    report: Report | None = None,
    memory: int = MEMORY,
    journal: NoJournal | None = None,
) -> "Solved | SolvedScores":
    """Solve a game of any kind from a start (the game's own unless told).

    Raises solver.run.TooMuchMemory where `memory` bytes do not do.  A `journal` lets a long run be taken up again; the
    fast layout for marks needs none.
    """
    scores = scored(game)
    if scores is None:
        return solve_game(game, start, report, memory, journal)
    from solver.scores import solve_scores  # few games need it

    try:
        return solve_scores(scores, start, report, memory, journal)
    except EndlessPlay:
        raise _broken_promise(game) from None


def solve_game(
    game: Game,
    start: int | None = None,
    report: Report | None = None,
    memory: int = MEMORY,
    journal: NoJournal | None = None,
) -> Solved:
    """Value and distance of every position that can arise in a game that is won and lost."""
    run = Run(memory, report, journal)
    fast = _by_a_fast_layout(game, run) if start in (None, game.start) else None
    return _plainly(game, start, run) if fast is None else fast


def solve_plainly(
    game: Game,
    start: int | None = None,
    report: Report | None = None,
    memory: int = MEMORY,
    journal: NoJournal | None = None,
) -> Solved:
    """The same with the fast layouts switched off: by the functions that the game gives, and nothing else."""
    return _plainly(game, start, Run(memory, report, journal))


def _plainly(game: Game, start: int | None, run: Run) -> Solved:
    if game.can_repeat:
        return _by_loops(game, start, run)
    try:
        return _without_repeating(game, start, run)
    except EndlessPlay:
        raise _broken_promise(game) from None


def _without_repeating(game: Game, start: int | None, run: Run) -> Solved:
    by_layers = partial(solve_by_layers, game, start, run)
    try:
        return by_layers(levels_only=True)
    except Tangled:
        pass
    try:
        return _by_loops(game, start, run)
    except TooLarge:
        return by_layers()


def _by_loops(game: Game, start: int | None, run: Run) -> Solved:
    from solver.loops import solve_loops  # many games do without

    return solve_loops(game, start, run)


def _by_a_fast_layout(game: Game, run: Run) -> Solved | None:
    """Solve by a layout made for this kind of game, if there is one; they are imported only where they may serve."""
    cells = on_board(game)
    if cells is None or (cells.board.size <= SMALL_BOARD and not game.can_repeat):
        return None
    if game.can_repeat:
        from solver.moving_phase import TooDeep
        from solver.slides import slide_game, solve_slides

        slides = slide_game(without_repetition_limit(game))
        if slides is not None:
            try:
                solved = solve_slides(slides, run)
            except TooDeep:
                return None
            solved.game = game  # its limit of repetitions changes no value, but is still its own
            return solved
    elif with_lines(game) is not None:
        from solver.halves import growing_game, solve_halves

        marks = growing_game(game)
        if marks is not None:
            return solve_halves(marks, run)
    return None


def _broken_promise(game: Game) -> Exception:
    """What to say of a game that says that no position comes back, while play in it can go on for ever."""
    own = getattr(game, "fair", game)
    where = own.place_of("can_repeat") if hasattr(own, "place_of") else (game.name, 0)
    return bad("can_repeat is False, but play can go on for ever; expected True", *where)
