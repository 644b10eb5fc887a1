"""How commands solve: within the memory that they may use, with progress, and without doing again what is kept."""

from collections.abc import Callable
from functools import partial
from pathlib import Path

from games.game import Game
from games.housed import HousedGame
from solver.engines import solve_game
from solver.journal import Journal
from solver.kept import solve_or_read
from solver.progress import Report
from solver.solved import Solved


class Keeper:
    """Solves games, reads kept results, and keeps new ones.

    digest: names the fair game and the house rules' file; memory: bytes; resume: take up an interrupted run.
    """

    def __init__(self, folder: Path, digest: str, memory: int, report: Report, *, resume: bool) -> None:
        self._folder = folder
        self._digest = digest
        self._solve = partial(solve_game, report=report, memory=memory)
        self._resume = resume

    def __call__(self, game: Game, start: int | None = None) -> Solved:
        """A solved game, kept or new."""
        seat = f"-{game.seat}" if isinstance(game, HousedGame) else "-fair"
        digest = f"{self._digest}{seat}{'' if start is None else f'-{start:x}'}"
        journal = Journal(self._folder / f"{digest}.part", resume=self._resume)
        solved = solve_or_read(game, digest, self._folder, lambda: self._solve(game, start, journal=journal))
        journal.clear()
        return solved


def without_keeping(memory: int, report: Report) -> Callable[..., Solved]:
    """Solve afresh and keep nothing."""
    return partial(solve_game, report=report, memory=memory)
