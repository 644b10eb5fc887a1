"""A whole folder graded: every attempt judged, wherever there is a process free for it, and what the class shows."""

from collections.abc import Callable, Sequence
from concurrent.futures import CancelledError, Executor, Future, as_completed
from typing import NamedTuple

from workbench.grading.attempts import Attempt
from workbench.grading.crew import Crew, ProcessEnded, TookTooLong, cores
from workbench.grading.journal import Journal
from workbench.grading.judging import judge, solve_for
from workbench.grading.mistakes import NAMES
from workbench.grading.request import Request
from workbench.grading.row import ENDED, TOO_LONG, Row

GRACE = 120.0
"""Seconds that an attempt may take beyond those of a program's drill, in each seat, before its process is ended."""
SIZING = 1800.0
"""Seconds more where it is sized on a machine, which takes many."""

Told = Callable[[int, int], None]
"""Told how many attempts of how many are judged."""


class Lesson(NamedTuple):
    """A kind of mistake, and who makes it: rows of a grading, those that make it most often first."""

    kind: str
    words: str
    rows: tuple[Row, ...]

    def positions(self, row: Row) -> int:
        """In how many positions an attempt makes it."""
        return sum(each.positions for each in row.mistakes if each.kind == self.kind)


class Alike(NamedTuple):
    """Attempts that play the same in one seat; everywhere: in all positions, and not only where they come."""

    seat: str
    everywhere: bool
    names: tuple[str, ...]


class Graded(NamedTuple):
    """A grading: a row for each attempt and seat, in the order of the attempts."""

    request: Request
    rows: tuple[Row, ...]

    @property
    def is_whole(self) -> bool:
        """Whether every attempt could be judged to the end."""
        return all(row.is_final for row in self.rows)

    def lessons(self) -> list[Lesson]:
        """What there is to teach again: the mistakes that most attempts make first."""
        found = []
        for kind in NAMES:
            rows = [row for row in self.rows if any(each.kind == kind for each in row.mistakes)]
            if rows:
                words = next(each.words for each in rows[0].mistakes if each.kind == kind)
                lesson = Lesson(kind, words, ())
                found.append(lesson._replace(rows=tuple(sorted(rows, key=lesson.positions, reverse=True))))
        return sorted(found, key=lambda lesson: -len(lesson.rows))

    def alike(self) -> list[Alike]:
        """Attempts that play the same: everywhere, or at least in every position that they meet."""
        groups: dict[tuple[str, bool, str], list[Row]] = {}
        for row in self.rows:
            for everywhere, digest in zip((True, False), row.plays, strict=True):
                if digest:
                    groups.setdefault((row.seat, everywhere, digest), []).append(row)
        found = []
        for (seat, everywhere, _), rows in groups.items():
            is_told_already = not everywhere and rows[0].plays[0] and len({row.plays[0] for row in rows}) == 1
            if len(rows) > 1 and not is_told_already:
                found.append(Alike(seat, everywhere, tuple(row.name for row in rows)))
        return sorted(found, key=lambda each: (each.seat, not each.everywhere, each.names))


def grade(
    request: Request,
    attempts: Sequence[Attempt],
    *,
    executor: Executor | None = None,
    journal: Journal | None = None,
    told: Told = lambda done, total: None,
) -> Graded:
    """Judge attempts, each in every seat that is asked for.

    executor: where the work is done, a task for each attempt: any of `concurrent.futures`, or of a library for clusters
    that offers one; it is left open.  Without one a process for each core is started, and one that an attempt takes too
    long in, or ends, is replaced; what an executor of another kind does then is its own affair.
    journal: knows what was judged before, and is told what is judged now.
    """
    rows: dict[int, list[Row]] = {}
    waiting: list[int] = []
    for place, attempt in enumerate(attempts):
        known = None if journal is None else journal.rows(attempt)
        if known is None:
            waiting.append(place)
        else:
            rows[place] = known
    told(len(rows), len(attempts))
    own = _own_crew(request, len(waiting)) if executor is None else None
    at_work = own if executor is None else executor
    assert at_work is not None
    try:
        futures = {at_work.submit(judge, request, attempts[place]): place for place in waiting}
        for future in as_completed(futures):
            place = futures[future]
            rows[place] = _rows_of(future, request, attempts[place])
            if journal is not None and all(row.is_final for row in rows[place]):
                journal.keep(attempts[place], rows[place])
            told(len(rows), len(attempts))
    finally:
        if own is not None:
            own.shutdown(cancel_futures=True)
    return Graded(request, tuple(row for place in sorted(rows) for row in rows[place]))


def _own_crew(request: Request, tasks: int) -> Crew:
    """A process for each core, which solves the game before it judges: that is no attempt's time."""
    return Crew(min(cores(), max(1, tasks)), _patience(request), (solve_for, (request,)))


def _patience(request: Request) -> float:
    return len(request.seats) * (request.seconds + GRACE + (SIZING if request.machine else 0))


def _rows_of(future: "Future[list[Row]]", request: Request, attempt: Attempt) -> list[Row]:
    """What came of an attempt; where its process came to grief, rows that say so."""
    try:
        return future.result()
    except TookTooLong:
        verdict, reason = TOO_LONG, f"no answer in {_patience(request):,.0f} s"
    except (ProcessEnded, CancelledError):
        verdict, reason = ENDED, "the process that judged it was ended"
    except Exception as error:  # noqa: BLE001 - an executor of another kind has errors of its own
        verdict, reason = ENDED, f"the process that judged it failed: {type(error).__name__}"
    return [
        Row(attempt.name, attempt.kind, seat, verdict, holds=False, reason=reason) for seat in request.seats
    ]
