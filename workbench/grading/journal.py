"""What has been graded already, in a file: a line for each attempt, written as soon as it is judged.

A line holds the digests of the request and of all that was handed in, so that an attempt which has changed since, or is
judged by another rubric, is judged anew; and a check sum, so that a damaged line is as good as none.
"""

import contextlib
import hashlib
import json
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import TextIO

from games.problems import bad
from workbench.grading.attempts import Attempt
from workbench.grading.request import Request
from workbench.grading.row import Row, row_from

NAME = "graded.jsonl"


class Journal:
    """The journal of one folder of results; use it in a `with` block.

    resume: whether what stands there already counts, and is added to; else the file is begun anew.  Raises BadInput
    where it cannot be written.
    """

    def __init__(self, folder: Path, request: Request, *, resume: bool) -> None:
        self._file = folder / NAME
        self._request = request.digest()
        self._resume = resume
        self._known = _lines(self._file) if resume else {}
        self._to: TextIO | None = None

    def __enter__(self) -> "Journal":
        try:
            self._to = self._file.open("a" if self._resume else "w", encoding="utf-8", newline="\n")
        except OSError as error:
            raise bad(f"cannot be written: {error.strerror}", str(self._file)) from None
        if self._known:
            self._to.write("\n")  # the last line may have been broken off
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._to is not None:
            with contextlib.suppress(OSError):  # what could not be written was told of when it was kept
                self._to.close()

    def rows(self, attempt: Attempt) -> list[Row] | None:
        """The rows of an attempt that was judged before just as it is now; None if it was not."""
        rows = self._known.get(self._key(attempt))
        try:
            return None if rows is None else [row_from(row) for row in rows]
        except (AttributeError, IndexError, KeyError, TypeError, ValueError):
            return None  # rows of another version

    def keep(self, attempt: Attempt, rows: Sequence[Row]) -> None:
        """Note what was found, at once.  Raises BadInput where that cannot be written."""
        if self._to is not None:
            data = [row.as_data() for row in rows]
            try:
                self._to.write(json.dumps([self._key(attempt), _sum_of(data), data]) + "\n")
                self._to.flush()
            except OSError as error:
                raise bad(f"cannot be written: {error.strerror}", str(self._file)) from None

    def _key(self, attempt: Attempt) -> str:
        return f"{self._request} {attempt.digest()}"


def _lines(file: Path) -> dict[str, list[dict[str, object]]]:
    """The lines of a journal by their keys; one that is damaged, or not written to its end, is passed over."""
    try:
        text = file.read_text(encoding="utf-8")
    except (OSError, ValueError):
        return {}
    known: dict[str, list[dict[str, object]]] = {}
    for line in text.splitlines():
        try:
            key, check, rows = json.loads(line)
            if check == _sum_of(rows):
                known[str(key)] = list(rows)
        except (ValueError, TypeError, RecursionError):
            continue
    return known


def _sum_of(data: object) -> str:
    """A check sum: 16 bytes in hexadecimal."""
    return hashlib.blake2b(json.dumps(data).encode(), digest_size=16).hexdigest()
