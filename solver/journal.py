"""What a long run has worked out so far, in files, so that an interrupted run can be taken up again.

Nothing is written in the first seconds: most games are solved by then.  After that every finished ply is a file of its
own, written whole or not at all.
"""

import contextlib
import shutil
import tempfile
import time
from pathlib import Path

import numpy as np
import numpy.typing as npt

WAIT = 3.0
"""Seconds before a run is worth journaling."""
Column = npt.NDArray[np.generic]


class Journal:
    """The finished plies of one run: ``layer`` (positions) and ``score`` files, by ply."""

    def __init__(self, folder: Path, *, resume: bool) -> None:
        self.folder = folder
        self._resume = resume and folder.is_dir()
        self._begun = time.monotonic()
        self._waiting: list[tuple[str, int, Column]] = []
        if not self._resume:
            self.clear()

    def read(self, kind: str, ply: int) -> Column | None:
        """A ply that an earlier run has finished, or None."""
        if not self._resume:
            return None
        try:
            column: Column = np.load(self._path(kind, ply), allow_pickle=False)
        except (OSError, ValueError, EOFError):
            return None
        wanted = np.uint64 if kind == "layer" else np.int16
        return column if column.ndim == 1 and column.dtype == wanted else None

    def write(self, kind: str, ply: int, column: Column) -> None:
        """Note a finished ply; it is written once the run has become a long one."""
        if self._resume and self._path(kind, ply).exists():
            return
        self._waiting.append((kind, ply, column))
        if time.monotonic() - self._begun >= WAIT:
            for each in self._waiting:
                self._write(*each)
            self._waiting.clear()

    def _write(self, kind: str, ply: int, column: Column) -> None:
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            with tempfile.NamedTemporaryFile(dir=self.folder, delete=False) as file:
                np.save(file, column, allow_pickle=False)
            Path(file.name).replace(self._path(kind, ply))
        except OSError:
            return  # a full disk costs no more than the chance to resume

    def _path(self, kind: str, ply: int) -> Path:
        return self.folder / f"{kind}-{ply:04}.npy"

    def clear(self) -> None:
        """Forget everything: the run is finished, or begins anew."""
        with contextlib.suppress(OSError):
            shutil.rmtree(self.folder)


class NoJournal(Journal):
    """Keeps nothing."""

    def __init__(self) -> None:
        self._resume = False

    def write(self, kind: str, ply: int, column: Column) -> None:
        """Nothing is kept."""

    def clear(self) -> None:
        """Nothing is there."""
