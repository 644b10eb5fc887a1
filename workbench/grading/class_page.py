"""The page of a class: who holds the claim, the points, the mistakes by attempt, who plays the same, and the rubric."""

from collections.abc import Callable, Mapping

from games.housed import HousedGame
from workbench.grading.attempt_page import (
    PAIR_STYLE,
    games_by_seat,
    heading_of,
    mistake_figure,
    mistake_in_words,
)
from workbench.grading.grade import Graded, Lesson
from workbench.grading.request import made_ready
from workbench.grading.row import Row
from workbench.grading.rubric import shown
from workbench.grading.words import (
    NOT_COPYING,
    alike_in_words,
    first_fault,
    fit_in_words,
    verdict_in_words,
    why_not_everywhere,
    wrong_input_in_words,
)
from workbench.output import plural
from workbench.pictures.in_words import men_in_words
from workbench.pictures.page import escape, page
from workbench.svg import element, words

Column = tuple[str, str, Callable[[Row], str]]
"""A column of the table of attempts: its title, the class of its cells, and the HTML in a row's cell."""
WORKED_OUT = (
    "Points are given twice: by the positions that an attempt meets when it plays, whatever the visitor does, and by "
    "all positions of the game in which the machine has to move."
)


def class_page(graded: Graded, pages: Mapping[str, str]) -> str:
    """The page of the whole class; pages: for each attempt's name the file of its own page."""
    request = graded.request
    ready = made_ready(request)
    names = len({row.name for row in graded.rows})
    title = f"{ready.game.title}: {plural(names, 'attempt')}"
    body = [
        words("h1", title),
        words("p", heading_of(request)),
        words("p", _summary(graded)),
        *(
            words("p", f"Moving {row.seat}, this seat is lost from the start, whatever is played.")
            for row in _lost(graded)
        ),
        words("h2", "The attempts"),
        _attempts(graded, pages),
        words("p", f"{WORKED_OUT} {why_not_everywhere(graded.rows)}".rstrip()),
        *_lessons(graded, pages, games_by_seat(request)),
        words("h2", "Attempts that play the same"),
        *_alike(graded),
        words("h2", "How the points come about"),
        words("p", ready.rubric.title) if ready.rubric.title else "",
        element(
            "table",
            [
                element("tr", [words("th", name, scope="row"), words("td", str(number), class_="figure")])
                for name, number in shown(ready.rubric)
            ],
        ),
    ]
    return page(title, "\n".join(filter(None, body)), styles=PAIR_STYLE)


def _lost(graded: Graded) -> list[Row]:
    """A row of each seat that is lost from the start."""
    found: dict[str, Row] = {}
    for row in graded.rows:
        if row.seat_is_lost:
            found.setdefault(row.seat, row)
    return list(found.values())


def _summary(graded: Graded) -> str:
    """How many hold the claim, by seat."""
    said = []
    for seat in graded.request.seats:
        rows = [row for row in graded.rows if row.seat == seat]
        holding = sum(row.holds for row in rows)
        said.append(f"Moving {seat}, {holding} of {len(rows)} hold the claim.")
    return " ".join(said)


def _attempts(graded: Graded, pages: Mapping[str, str]) -> str:
    """The table of attempts; columns in which nothing would stand are left out."""
    columns: list[Column] = [
        ("attempt", "", lambda row: _link(row.name, pages)),
        ("seat", "", lambda row: escape(row.seat)),
        ("verdict", "", lambda row: words("strong" if row.holds else "span", verdict_in_words(row))),
        ("points, met", "figure", lambda row: row.met.points if row.met else ""),
        ("points, all", "figure", _points_everywhere),
        ("first fault", "said", lambda row: escape(first_fault(row))),
        ("wrong input", "said", lambda row: escape(wrong_input_in_words(row))),
        ("machine", "said", lambda row: escape(fit_in_words(row.fit))),
    ]
    kept = [
        (title, kind, cell)
        for title, kind, cell in columns
        if (title != "seat" or len(graded.request.seats) > 1) and any(map(cell, graded.rows))
    ]
    head = element("tr", [words("th", title, scope="col", class_=kind or None) for title, kind, _ in kept])
    rows = [
        element("tr", [element("td", cell(row), class_=kind or None) for _, kind, cell in kept])
        for row in graded.rows
    ]
    return element("table", [element("thead", head), element("tbody", rows)])


def _points_everywhere(row: Row) -> str:
    return "" if row.met is None else "-" if row.everywhere is None else row.everywhere.points


def _link(name: str, pages: Mapping[str, str]) -> str:
    return words("a", name, href=pages[name])


def _lessons(graded: Graded, pages: Mapping[str, str], games: Mapping[str, HousedGame]) -> list[str]:
    """What to teach again: the mistakes by attempt, and a board for each kind."""
    lessons = graded.lessons()
    if not lessons:
        return []
    intro = "In how many positions that it meets each attempt makes a mistake; what most of them make comes first."
    boards = [_example(lesson, games) for lesson in lessons]
    return [
        words("h2", "What to teach again"),
        words("p", intro),
        _matrix(graded, lessons, pages),
        words("p", "For each kind a board, and what was played there."),
        *(words("p", f"{_moving(graded, seat)}{men_in_words(game)}") for seat, game in games.items()),
        element("div", boards, class_="pairs"),
    ]


def _moving(graded: Graded, seat: str) -> str:
    return f"Where the machine moves {seat}: " if len(graded.request.seats) > 1 else ""


def _matrix(graded: Graded, lessons: list[Lesson], pages: Mapping[str, str]) -> str:
    """A row for each attempt that makes a mistake, a column for each kind, and a last row with how many make it."""
    seats = len(graded.request.seats) > 1
    heads = [*(["seat"] if seats else []), *(lesson.words for lesson in lessons)]
    head = element(
        "tr", [words("th", "attempt", scope="col"), *(words("th", each, scope="col") for each in heads)]
    )
    rows = []
    for row in (row for row in graded.rows if row.mistakes):
        counts = [words("td", str(lesson.positions(row) or ""), class_="figure") for lesson in lessons]
        seat = [words("td", row.seat)] if seats else []
        rows.append(element("tr", [element("th", _link(row.name, pages), scope="row"), *seat, *counts]))
    sums = [words("td", str(len(lesson.rows)), class_="figure") for lesson in lessons]
    blank = [words("td", "")] if seats else []
    rows.append(element("tr", [words("th", "attempts with it", scope="row"), *blank, *sums], class_="sum"))
    return element("table", [element("thead", head), element("tbody", rows)], class_="matrix")


def _example(lesson: Lesson, games: Mapping[str, HousedGame]) -> str:
    row = lesson.rows[0]
    mistake = next(each for each in row.mistakes if each.kind == lesson.kind)
    return mistake_figure(games[row.seat], mistake, mistake_in_words(mistake, row.name, answers=True))


def _alike(graded: Graded) -> list[str]:
    groups = graded.alike()
    if not groups:
        return [words("p", "No two of them do.")]
    items = [words("li", alike_in_words(each, seats=len(graded.request.seats))) for each in groups]
    return [element("ul", items), words("p", NOT_COPYING)]
