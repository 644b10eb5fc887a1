"""A grading as a table that any spreadsheet opens as it is: CSV with a byte-order mark, every cell harmless."""

import csv
import io
from collections.abc import Sequence

from workbench.grading.grade import Graded
from workbench.grading.mistakes import NAMES
from workbench.grading.row import Positions, Row
from workbench.grading.words import (
    first_fault,
    fit_in_words,
    given_in_words,
    line_in_words,
    verdict_in_words,
    wrong_input_in_words,
)

MARK = "\ufeff"
"""Tells spreadsheets that the text is UTF-8."""
DANGEROUS = ("=", "+", "-", "@", "\t", "\r", "\n")
"""What makes a spreadsheet take a cell for a formula."""
TITLES = (
    "attempt",
    "seat",
    "kind",
    "verdict",
    "claim holds",
    "points (positions met)",
    "points (all positions)",
    "out of",
    "decisions met",
    "of them well",
    "percent (met)",
    "decisions in all",
    "of those well",
    "percent (all)",
    "first fault",
    "line",
    "rules",
    "rules never used",
    "given away",
    "wrong input mishandled",
    "words",
    "fits",
    "longest wait (s)",
    "on the machine",
)
_MISTAKE = "positions with: {}"


def csv_text(graded: Graded, out_of: int) -> str:
    """A row for each attempt and seat; out_of: the points of an attempt without fault."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(map(harmless, (*TITLES, *(_MISTAKE.format(name) for name in NAMES))))
    for row in graded.rows:
        writer.writerow(map(harmless, [*_cells(row, out_of), *_mistakes(row)]))
    return MARK + text.getvalue()


def harmless(cell: object) -> str:
    """A cell that no spreadsheet takes for a formula: an apostrophe goes before what looks like one.

    >>> harmless("=1+1"), harmless("  @SUM(A1)"), harmless(12), harmless("5, 1, 9")
    ("'=1+1", "'  @SUM(A1)", '12', '5, 1, 9')
    """
    text = "" if cell is None else str(cell)
    return f"'{text}" if text.lstrip(" ").startswith(DANGEROUS) else text


def _cells(row: Row, out_of: int) -> Sequence[object]:
    fit = row.fit
    return (
        row.name,
        row.seat,
        row.kind,
        verdict_in_words(row),
        "yes" if row.holds else "no",
        None if row.met is None else row.met.points,
        None if row.everywhere is None else row.everywhere.points,
        out_of,
        *_positions(row.met),
        *_positions(row.everywhere),
        first_fault(row),
        line_in_words(row),
        row.rules or None,
        "; ".join(f"line {line}: {text}" for line, text in row.unused),
        given_in_words(row.given),
        wrong_input_in_words(row),
        None if fit is None else fit.words,
        None if fit is None or fit.fits is None else "yes" if fit.fits else "no",
        None if fit is None else fit.seconds,
        fit_in_words(fit),
    )


def _positions(found: Positions | None) -> Sequence[object]:
    return (None, None, None) if found is None else (found.positions, found.well, found.percent)


def _mistakes(row: Row) -> list[object]:
    """In how many positions each kind of mistake is made; empty cells for what could not be judged."""
    made = {each.kind: each.positions for each in row.mistakes}
    return [made.get(name, 0) if row.met is not None else None for name in NAMES]
