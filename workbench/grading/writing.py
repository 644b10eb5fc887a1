"""A grading as files in a folder: a table, a report for test runners, a page of the class and one for each attempt."""

import re
from collections.abc import Sequence
from pathlib import Path

from games.problems import bad
from workbench.files import write_new
from workbench.grading.attempt_page import attempt_page
from workbench.grading.class_page import class_page
from workbench.grading.grade import Graded
from workbench.grading.journal import NAME as JOURNAL
from workbench.grading.record import junit
from workbench.grading.request import made_ready
from workbench.grading.table_file import csv_text

TABLE, REPORT, INDEX = "grades.csv", "grades.xml", "index.html"
PAGE = "attempt-{}.html"
_OURS = re.compile(r"attempt-[\w-]+\.html")


def begin_folder(path: str, *, may_be_there: bool) -> Path:
    """The folder of results, made if it is not there.

    Raises BadInput where it is there unasked, holds what is not ours, or cannot be made.
    """
    folder = Path(path)
    if folder.exists() and not folder.is_dir():
        raise bad("is no folder; expected another name (-o DIR)", path)
    if folder.is_dir():
        others = sorted(each.name for each in folder.iterdir() if not is_ours(each.name))
        if others:
            raise bad(f"holds other files, such as {others[0]}; expected a folder of its own (-o DIR)", path)
        if any(folder.iterdir()) and not may_be_there:
            message = "is there already; expected another name (-o DIR), --resume to go on, or --force to begin anew"
            raise bad(message, path)
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise bad(f"cannot be made: {error.strerror}", path) from None
    return folder


def is_ours(name: str) -> bool:
    """Whether a file of the folder is one that a grading writes."""
    return name in (TABLE, REPORT, INDEX, JOURNAL) or _OURS.fullmatch(name) is not None


def write_grading(folder: Path, graded: Graded) -> list[str]:
    """Write every file, each whole or not at all; pages of attempts that are gone go too.  Gives the files' names."""
    names = list(dict.fromkeys(row.name for row in graded.rows))
    pages = page_names(names)
    texts = {
        TABLE: csv_text(graded, made_ready(graded.request).rubric.points),
        REPORT: junit(graded),
        **{
            pages[name]: attempt_page(graded.request, [row for row in graded.rows if row.name == name])
            for name in names
        },
        INDEX: class_page(graded, pages),
    }
    for name, text in texts.items():
        write_new(folder / name, text, overwrite=True)
    for old in folder.iterdir():
        if _OURS.fullmatch(old.name) and old.name not in texts:
            old.unlink()
    return list(texts)


def page_names(names: Sequence[str]) -> dict[str, str]:
    """For each attempt the file of its page: plain letters and figures, no two alike even where capitals do not count.

    >>> page_names(["Group 5", "group-5", "7"])
    {'Group 5': 'attempt-group-5.html', 'group-5': 'attempt-group-5-2.html', '7': 'attempt-7.html'}
    """
    taken: set[str] = set()
    pages = {}
    for name in names:
        plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "x"
        number = 1
        while (file := PAGE.format(plain if number == 1 else f"{plain}-{number}")) in taken:
            number += 1
        taken.add(file)
        pages[name] = file
    return pages
