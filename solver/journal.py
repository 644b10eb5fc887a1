"""What a long run has worked out so far, in files, so that an interrupted run can be taken up again.

Nothing is written in the first seconds: most games are solved by then.  After that every finished *piece* of the work
becomes a file of its own, and of a piece that takes long there is a file with as much of it as was done half a minute
ago at most.  A file is written whole or not at all, and holds a check sum: if one of them is damaged, none is used.
"""

import contextlib
import hashlib
import json
import shutil
import tempfile
import time
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np

from solver.run import Column, NoJournal

WAIT = 10.0
"""Seconds before a run is worth journaling."""
AGAIN = 20.0
"""Seconds of work on a piece after which it is worth saving what there is of it."""
MOST_SHARE = 10
"""Saving takes no more than one part in so many of the time; unless it takes six seconds, no minute is lost."""
NAME = b"wordtight piece 1\n"
_READ_AT_ONCE = 1 << 20


class Journal(NoJournal):
    """The pieces of one run, each some columns of numbers, named by a kind and a number.

    resumes: whether there is anything to go on from; is_damaged: whether there was, but it cannot be used.
    """

    def __init__(self, folder: Path, *, resume: bool) -> None:
        self.folder = folder
        self._begun = self._saved = time.monotonic()
        self._took = 0.0
        """Seconds that the last writing took."""
        self._waiting: list[tuple[str, int, tuple[Column, ...]]] = []
        pieces = sorted(folder.glob("*.piece")) if resume else []
        self.is_damaged = not all(map(_is_whole, pieces))
        self.resumes = bool(pieces) and not self.is_damaged
        if not self.resumes:
            self.clear()

    @property
    def is_written(self) -> bool:
        """Whether anything is kept so far."""
        return self.folder.is_dir()

    def read(self, kind: str, number: int = 0) -> tuple[Column, ...] | None:
        """The columns of a piece that an earlier run has written, or None."""
        if not self.resumes:
            return None
        try:
            with self._path(kind, number).open("rb") as file:
                _, columns = _head(file)
                return tuple(np.fromfile(file, np.dtype(kept), count) for kept, count in columns)
        except (OSError, ValueError):
            return None

    def write(self, kind: str, number: int, *columns: Column) -> None:
        """Note a finished piece; it is written once the run has become a long one."""
        if self.resumes and self._path(kind, number).exists():
            return
        self._waiting.append((kind, number, columns))
        if time.monotonic() - self._begun >= WAIT:
            for each in self._waiting:
                self._write(*each)
            self._waiting.clear()

    @property
    def is_due(self) -> bool:
        """Whether it is time to save what there is of a piece."""
        return time.monotonic() - self._saved >= max(AGAIN, MOST_SHARE * self._took)

    def save(self, kind: str, *columns: Column) -> None:
        """Save what there is of a piece, instead of what there was when it was saved last."""
        self._write(kind, 0, columns)

    def _write(self, kind: str, number: int, columns: tuple[Column, ...]) -> None:
        begun = time.monotonic()
        columns = tuple(np.ascontiguousarray(column) for column in columns)
        with contextlib.suppress(OSError):  # a full disk costs no more than the chance to resume
            self.folder.mkdir(parents=True, exist_ok=True)
            with tempfile.NamedTemporaryFile(dir=self.folder, delete=False) as file:
                path = Path(file.name)
                try:
                    file.write(_head_of(columns))
                    for column in columns:
                        file.write(column.data)
                except BaseException:
                    path.unlink()
                    raise
            path.replace(self._path(kind, number))
        self._saved = time.monotonic()
        self._took = self._saved - begun

    def _path(self, kind: str, number: int) -> Path:
        return self.folder / f"{kind}-{number:06}.piece"

    def clear(self) -> None:
        """Forget everything: the run is finished, or begins anew."""
        with contextlib.suppress(OSError):
            shutil.rmtree(self.folder)


def _head_of(columns: tuple[Column, ...]) -> bytes:
    """The two lines of text before the numbers: the format, and a check sum with each column's type and length."""
    said = [[column.dtype.str, len(column)] for column in columns]
    digest = _digest(said)
    for column in columns:
        digest.update(column.data)
    return NAME + json.dumps([digest.hexdigest(), said]).encode() + b"\n"


def _head(file: BinaryIO) -> tuple[str, list[tuple[str, int]]]:
    """The check sum, and the columns' types and lengths.  Raises ValueError for what is none of our files."""
    if file.readline(len(NAME)) != NAME:
        raise ValueError("no piece of a run, or one of another version")
    check, columns = json.loads(file.readline(1 << 16))
    return str(check), [(str(kept), int(count)) for kept, count in columns]


def _is_whole(path: Path) -> bool:
    """Whether a file is as it was written."""
    try:
        with path.open("rb") as file:
            check, columns = _head(file)
            digest = _digest(columns)
            while part := file.read(_READ_AT_ONCE):
                digest.update(part)
    except (OSError, ValueError, TypeError, OverflowError, RecursionError):
        return False
    return digest.hexdigest() == check


def _digest(columns: Any) -> "hashlib.blake2b":
    return hashlib.blake2b(json.dumps([list(column) for column in columns]).encode(), digest_size=16)
