"""How commands solve: within the memory that they may use, with progress, and without doing again what is kept."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import click

from games.game import Game
from games.housed import HousedGame
from solver.engines import solve_any
from solver.progress import PLANNED, Progress
from solver.run import NoJournal, Run, TooMuchMemory, megabytes
from solver.scores import SolvedScores
from solver.solve import Solution
from solver.solved import Solved
from solver.tally import Tally
from workbench.progress import ProgressLine

WORTH_SAYING = 10 << 20
"""Bytes; that a small game takes less than this is of no interest."""


class Keeping(NamedTuple):
    """Where results and the work of interrupted runs are kept.

    digest: names the fair game and the house rules' file; resume: whether to take up an interrupted run;
    results: whether results are kept as well.
    """

    folder: Path
    digest: str
    resume: bool
    results: bool = True


class Solver:
    """Solves one game after another, and says on standard error how much memory each of them takes.

    memory: bytes that may be used.  keeping: None to solve afresh and keep nothing.  pieces: how many games there are,
    and one more if counts are wanted.
    """

    def __init__(self, memory: int, line: ProgressLine, keeping: Keeping | None, pieces: int = 1) -> None:
        self._memory = memory
        self._pieces = self._pieces_left = pieces
        self._line = line
        self._keeping = keeping
        self._held = 0
        self.planned: int | None = None
        """The most bytes that were planned, results of earlier games included; None if nothing had to be solved."""
        self.journal = NoJournal()
        """That of the game that is being solved."""

    def __call__(self, game: Game, start: int | None = None) -> Solved | SolvedScores:
        """A solved game, kept or new."""
        if isinstance(game, HousedGame):
            self._begin("under house rules")
        else:
            self._begin("fair play" if start is None else "second begins")
        keeping = self._keeping
        if keeping is None:
            return self._solve(game, start, NoJournal())
        seat = f"-{game.seat}" if isinstance(game, HousedGame) else "-fair"
        digest = f"{keeping.digest}{seat}{'' if start is None else f'-{start:x}'}"
        if not keeping.results:
            return self._with_journal(game, start, digest, keeping)
        from solver.kept import solve_or_read

        return solve_or_read(
            game, digest, keeping.folder, lambda: self._with_journal(game, start, digest, keeping)
        )

    def _with_journal(
        self, game: Game, start: int | None, digest: str, keeping: Keeping
    ) -> Solved | SolvedScores:
        """Solve a game, or go on where an interrupted run was."""
        from solver.journal import Journal

        journal = Journal(keeping.folder / f"{digest}.part", resume=keeping.resume)
        if journal.is_damaged:
            self._say("what an interrupted run had done is damaged and cannot be used: starting afresh")
        elif keeping.resume:
            self._say(
                "going on from an interrupted run"
                if journal.resumes
                else "nothing to resume: starting afresh"
            )
        self.journal = journal
        solved = self._solve(game, start, journal)
        journal.clear()
        return solved

    def counts(self, solution: Solution) -> tuple[Tally | None, TooMuchMemory | None]:
        """The counts of what has been solved, or why there is not the memory for them."""
        self._begin("counts")
        try:
            with self._beside_what_is_held():
                return solution.counts(Run(self._memory - self._held, self._told)), None
        except TooMuchMemory as too_much:
            return None, too_much

    def _begin(self, piece: str) -> None:
        self._pieces_left -= 1
        self._line.begin(piece if self._pieces > 1 else "", more=self._pieces_left > 0)

    @contextmanager
    def _beside_what_is_held(self) -> Iterator[None]:
        """Let work that takes too much be told in sum with the results that are held already."""
        try:
            yield
        except TooMuchMemory as too_much:
            raise TooMuchMemory(too_much.needed + self._held, self._memory, too_much.found_so_far) from None

    def _solve(self, game: Game, start: int | None, journal: NoJournal) -> Solved | SolvedScores:
        """Solve a game within the memory that earlier results have left."""
        with self._beside_what_is_held():
            solved = solve_any(game, start, self._told, self._memory - self._held, journal)
        self._held += solved.held
        return solved

    def _told(self, progress: Progress) -> None:
        """Say how much memory the work takes, and pass everything on."""
        if progress.stage == PLANNED:
            planned = progress.memory + self._held
            is_news = planned > (self.planned or 0)
            self.planned = max(self.planned or 0, planned)
            if is_news and planned >= WORTH_SAYING:
                self._say(
                    f"this takes {megabytes(planned):,} MB of memory; {megabytes(self._memory):,} MB may be used"
                )
        self._line(progress)

    def _say(self, text: str) -> None:
        self._line.wipe()
        click.echo(text, err=True)
