"""A drill from beginning to end: round after round, games at random where time is short, and what was found."""

import random
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NamedTuple

from games.house import ASKED_FOR
from solver.progress import Progress, Report, Stage
from workbench.drill.asked import Asked
from workbench.drill.bookmark import Bookmark
from workbench.drill.command import command_for
from workbench.drill.drilling import Drill, Listen
from workbench.drill.faults import Fault, Ledger
from workbench.drill.player import Player
from workbench.drill.round import Round
from workbench.drill.sampling import Sample, sample
from workbench.drill.sandbox import Sandbox
from workbench.output import plural

NO_FAULT, FAULT, UNFINISHED, SAMPLED = "no-fault-found", "fault-found", "not-finished", "sampled"
TELL_EVERY = 50
"""Lines between two reports to those who wait."""
KEEP_EVERY = 10.0
"""Seconds after which the bookmark is moved on: so much is lost at most where the program or the power is cut off."""


class Found(NamedTuple):
    """What a drill has found.

    verdict: one of the four above.  finals, all_finals: final positions that were reached, and that the game has.
    starts: of the program.  seconds: in all; left: seconds that the rest of the last round would take, None if that is
    not known.  learned: last lines that were taken for waiting.  held: what the
    program could not use.  assumptions: what the verdict rests on.
    """

    verdict: str
    faults: tuple[Fault, ...]
    rounds: tuple[Round, ...]
    sampled: Sample | None
    finals: int
    all_finals: int
    starts: int
    ends_by_itself: bool
    broken_off: bool
    given_up: int
    seconds: float
    left: float | None
    learned: tuple[str, ...]
    held: tuple[str, ...]
    assumptions: tuple[str, ...]


def drill(
    asked: Asked,
    command: Sequence[str],
    *,
    wrong: int,
    seconds: float,
    games: int,
    enough: Callable[[Ledger], bool] = lambda ledger: False,
    bookmark: Bookmark | None = None,
    listen: Listen | None = None,
    seed: int = 1,
    report: Report | None = None,
) -> Found:
    """Play a program through all lines with up to `wrong` wrong inputs, for so many seconds at most.

    games: how many are played at random where time does not do for every line without wrong input.  enough: whether
    what was found so far will do.  bookmark: where to go on from, and to mark where it ends.  listen: told every line.
    Raises BadInput where the program cannot be started.
    """
    begun = time.monotonic()
    with Sandbox(asked.manner.limits) as sandbox:
        started = command_for(command, sandbox)
        waiting = asked.waiting()
        played = Drill(asked.judge, lambda: Player(sandbox, started, waiting, asked.judge), listen)
        try:
            if bookmark is not None:
                bookmark.restore(played)
                bookmark.keep(played)
            teller = _teller(report, begun + seconds)
            keeper = _keeper(bookmark, played)
            left = _rounds(
                played, wrong, lambda done: keeper() and not enough(played.ledger) and teller(done)
            )
            is_short = not (played.rounds[0].is_whole or played.broken_off or enough(played.ledger))
            is_short = is_short and games > 0 and played.can_begin
            sampled = sample(played, games, wrong, random.Random(seed)) if is_short else None  # noqa: S311
        finally:
            played.close()
            if bookmark is not None:
                bookmark.keep(played)
        if bookmark is not None and played.rounds[-1].is_whole:
            bookmark.take_away()
        return Found(
            verdict=_verdict(played, wrong, sampled),
            faults=tuple(played.ledger.faults()),
            rounds=tuple(played.rounds),
            sampled=sampled,
            finals=len(played.finals),
            all_finals=asked.judge.worth.finals(),
            starts=played.starts,
            ends_by_itself=played.ends_by_itself,
            broken_off=played.broken_off,
            given_up=played.given_up,
            seconds=time.monotonic() - begun,
            left=left,
            learned=tuple(waiting.learned),
            held=sandbox.held,
            assumptions=_assumptions(asked, wrong),
        )


def _rounds(played: Drill, wrong: int, goes_on: Callable[[Round], bool]) -> float | None:
    """Round after round, from the one that was begun last; the seconds that the rest of the last one would take."""
    begun = played.rounds[-1] if played.rounds else Round(0)
    for number in range(begun.wrong + begun.is_whole, wrong + 1):
        lines, since = begun.lines if number == begun.wrong else 0, time.monotonic()
        done = played.round(number, goes_on)
        if not done.is_whole:
            keyed, seconds = done.lines - lines, time.monotonic() - since
            return (done.due - done.lines) * seconds / keyed if done.due and keyed else None
    return None


def _teller(report: Report | None, deadline: float) -> Callable[[Round], bool]:
    """Tells those who wait how far a round is, and stops it when the time is over."""
    told = 0

    def goes_on(done: Round) -> bool:
        nonlocal told
        if report is not None and done.lines // TELL_EVERY != told:
            told = done.lines // TELL_EVERY
            stage = Stage(f"lines with {done.wrong or 'no'} wrong input")
            report(Progress(stage, done.lines, done.due, done.lines))
        return time.monotonic() < deadline

    return goes_on


def _keeper(bookmark: Bookmark | None, played: Drill) -> Callable[[], bool]:
    """Moves the bookmark on from time to time; it never stops a round."""
    moved = time.monotonic()

    def goes_on() -> bool:
        nonlocal moved
        if bookmark is not None and time.monotonic() - moved >= KEEP_EVERY:
            bookmark.keep(played)
            moved = time.monotonic()
        return True

    return goes_on


def _verdict(played: Drill, wrong: int, sampled: Sample | None) -> str:
    if played.ledger.faults():
        return FAULT
    if sampled is not None:
        return SAMPLED
    is_whole = len(played.rounds) == wrong + 1 and played.rounds[-1].is_whole and not played.given_up
    return NO_FAULT if is_whole else UNFINISHED


def _assumptions(asked: Asked, wrong: int) -> tuple[str, ...]:
    """What a verdict without a fault rests on."""
    beyond = f"after more than {plural(wrong, 'wrong input')} in a game" if wrong else "after wrong input"
    rests_on = [
        f"the program keeps nothing from game to game, and nothing that shows only {beyond}",
        "it will play as it did today: chance, the clock and its files stay as they were",
        (
            "wrong input is answered like the examples of its class that were keyed in; every line was gone through "
            "after the first example of a class, one line after each of the others"
        ),
    ]
    if asked.game.can_repeat:
        rests_on.append("play that comes back to a position goes on as it did there before")
    if asked.house.next_game == ASKED_FOR:
        rests_on.append("what is keyed in once after the end is answered alike whatever was played")
    return tuple(rests_on)


def shown_command(command: Sequence[str]) -> str:
    """The program as reports call it: without the folders that it lies in."""
    return " ".join(Path(word).name if Path(word).is_file() else word for word in command)
