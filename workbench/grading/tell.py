"""A grading in plain words: what `wordtight grade` prints."""

import unicodedata
from collections.abc import Sequence

from games.problems import listed
from workbench.grading.attempt_page import heading_of
from workbench.grading.grade import Graded, Lesson
from workbench.grading.request import made_ready
from workbench.grading.row import Row
from workbench.grading.words import (
    NOT_COPYING,
    alike_in_words,
    first_fault,
    fit_in_words,
    verdict_in_words,
    why_not_everywhere,
)
from workbench.grading.writing import INDEX
from workbench.output import plural, say, say_lines, table

MOST_NAMED = 6
"""Attempts that are named beside a kind of mistake; the page names all."""
MOST_ROWS = 40
LONGEST_NAME = 24


def tell(graded: Graded, folder: str, files: Sequence[str]) -> None:
    """Who holds the claim, with the points; what to teach again; who plays the same; and where the pages are."""
    ready = made_ready(graded.request)
    names = len({row.name for row in graded.rows})
    say(f"{ready.game.title}: {plural(names, 'attempt')}")
    say(heading_of(graded.request))
    say()
    for seat in graded.request.seats:
        _tell_seat(graded, [row for row in graded.rows if row.seat == seat])
    _tell_fits(graded)
    _tell_lessons(graded)
    _tell_alike(graded)
    say(
        f"Written to {folder}: {INDEX} for all, a page for each attempt, grades.csv and grades.xml; {len(files)} files."
    )


def _tell_seat(graded: Graded, rows: Sequence[Row]) -> None:
    points = made_ready(graded.request).rubric.points
    holding = sum(row.holds for row in rows)
    say(
        f"Moving {rows[0].seat}, {holding} of {len(rows)} hold the claim. Points of {points}, by the positions that "
        "each meets, and by all of the game:"
    )
    if any(row.seat_is_lost for row in rows):
        say("This seat is lost from the start, whatever is played.")
    say()
    titles = ("attempt", "verdict", "met", "all", "first fault")
    say_lines(table(titles, [_cells(row) for row in rows[:MOST_ROWS]], right=(2, 3)))
    if len(rows) > MOST_ROWS:
        say(f"and {len(rows) - MOST_ROWS:,} more, in {INDEX}.")
    say()
    why = why_not_everywhere(rows)
    if why:
        say(f"-: {why}")
        say()


def _tell_fits(graded: Graded) -> None:
    """Words and waits on the machine, where one was named; what is not sized in one sentence."""
    sized = [row for row in graded.rows if row.fit is not None and row.fit.fits is not None]
    if sized:
        say("On the machine:")
        say()
        seats = len(graded.request.seats) > 1
        rows = [(_short(row.name), row.seat, _plain(fit_in_words(row.fit))) for row in sized]
        titles = ("attempt", "seat", "what it takes")
        kept = [0, 1, 2] if seats else [0, 2]
        say_lines(
            table([titles[column] for column in kept], [[row[column] for column in kept] for row in rows])
        )
        say()
    by_reason: dict[str, list[str]] = {}
    for row in graded.rows:
        if row.fit is not None and row.fit.fits is None:
            by_reason.setdefault(fit_in_words(row.fit), []).append(_short(row.name))
    for reason, names in by_reason.items():
        say(f"{listed(list(dict.fromkeys(names)), 'and')}: {reason}.")
        say()


def _cells(row: Row) -> tuple[str, ...]:
    met = "" if row.met is None else row.met.points
    everywhere = "" if row.met is None else "-" if row.everywhere is None else row.everywhere.points
    return (_short(row.name), verdict_in_words(row), met, everywhere, _plain(first_fault(row)))


def _short(name: str) -> str:
    name = _plain(name)
    return name if len(name) <= LONGEST_NAME else f"{name[: LONGEST_NAME - 3]}..."


def _plain(text: str) -> str:
    """What programs print and files are called may hold any sign; a console shows plain ones, and no accents.

    >>> print(_plain("Zo\u00eb, \u0416an"))
    Zoe, ?an
    """
    letters = (sign for sign in unicodedata.normalize("NFKD", text) if not unicodedata.combining(sign))
    return "".join(sign if sign.isascii() and sign.isprintable() else "?" for sign in letters)


def _tell_lessons(graded: Graded) -> None:
    lessons = graded.lessons()
    if not lessons:
        return
    say("What to teach again (in brackets: in how many positions):")
    say()
    rows = [(lesson.words, str(len(lesson.rows)), _who(graded, lesson)) for lesson in lessons]
    say_lines(table(("mistake", "made by", "who"), rows, right=(1,)))
    say()


def _who(graded: Graded, lesson: Lesson) -> str:
    seats = len(graded.request.seats) > 1
    named = [
        f"{_short(row.name)}{f', {row.seat}' if seats else ''} ({lesson.positions(row):,})"
        for row in lesson.rows[:MOST_NAMED]
    ]
    more = len(lesson.rows) - len(named)
    return ", ".join([*named, *([f"{more:,} more"] if more else [])])


def _tell_alike(graded: Graded) -> None:
    groups = graded.alike()
    for each in groups[:MOST_NAMED]:
        say(_plain(alike_in_words(each, seats=len(graded.request.seats))))
    if len(groups) > MOST_NAMED:
        say(f"{len(groups) - MOST_NAMED:,} more groups play the same; {INDEX} names them.")
    if groups:
        say(NOT_COPYING)
        say()
