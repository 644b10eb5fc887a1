"""A grading for other programs: one JSON object, and JUnit XML for a test runner."""

from typing import Any

from workbench.grading.grade import Graded
from workbench.grading.request import made_ready
from workbench.grading.row import Row
from workbench.grading.words import NOT_COPYING, first_fault, line_in_words, outcome, verdict_in_words
from workbench.svg import element, words


def grading_record(graded: Graded) -> dict[str, Any]:
    """The whole grading as docs/json.md describes it."""
    ready = made_ready(graded.request)
    return {
        "game": ready.game.name,
        "seat": graded.request.seat,
        "claim": graded.request.claim,
        "house_rules": ready.house.name,
        "machine": None if ready.card is None else ready.card.name,
        "rubric": ready.rubric.title,
        "points": ready.rubric.points,
        "attempts": [row_record(row) for row in graded.rows],
        "mistakes": [
            {
                "kind": lesson.kind,
                "words": lesson.words,
                "attempts": [
                    {"name": row.name, "seat": row.seat, "positions": lesson.positions(row)}
                    for row in lesson.rows
                ],
            }
            for lesson in graded.lessons()
        ],
        "play_the_same": [each._asdict() for each in graded.alike()],
        "remark": NOT_COPYING,
    }


def row_record(row: Row) -> dict[str, Any]:
    """A row for other programs: positions and moves by their names, and no number that is ours alone."""
    data = row.as_data()
    del data["plays"]
    if data["line"] is not None:
        data["line"] = {key: value for key, value in data["line"].items() if key != "moves"}
    data["mistakes"] = [
        {key: value for key, value in each.items() if key != "code"} for each in data["mistakes"]
    ]
    return data


def junit(graded: Graded) -> str:
    """A suite for each seat, a case for each attempt: failed where something is wrong, an error if not judged."""
    suites = [
        _suite(graded, seat, [row for row in graded.rows if row.seat == seat])
        for seat in graded.request.seats
    ]
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{element("testsuites", suites)}\n'


def _suite(graded: Graded, seat: str, rows: list[Row]) -> str:
    name = f"{graded.request.game}, machine moves {seat}, {graded.request.claim}"
    failed = sum(row.is_judged and not row.passes for row in rows)
    errors = sum(not row.is_judged for row in rows)
    cases = [_case(row, f"{graded.request.game}.{seat}") for row in rows]
    return element(
        "testsuite", cases, name_=name, tests=str(len(rows)), failures=str(failed), errors=str(errors)
    )


def _case(row: Row, suite: str) -> str:
    inside = ""
    if not row.passes:
        says = _plain(first_fault(row) or verdict_in_words(row))
        told = "\n".join(filter(None, [line_in_words(row), outcome(row)]))
        inside = words("failure" if row.is_judged else "error", _plain(told), message=says, type=row.verdict)
    return element("testcase", inside, classname=suite, name_=_plain(row.name))


def _plain(text: str) -> str:
    """Without the signs that XML cannot hold."""
    return "".join(sign if sign.isprintable() or sign == "\n" else "?" for sign in text)
