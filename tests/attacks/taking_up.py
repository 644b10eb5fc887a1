"""Runs a command that keeps what is done so far, breaks it off at one step after the other, and takes it up again.

    python -m tests.attacks.taking_up COMMAND

What came of it is printed as JSON.  Steps are those of `interrupting`, and every piece that is written to a log, and
pushed to the disk.  It is a process of its own, since what listens to Python's steps cannot be taken away again.
"""

import errno
import json
import os
import sys
import tempfile
from collections.abc import Callable
from concurrent.futures import Executor, Future
from pathlib import Path
from typing import NamedTuple

from tests.attacks.interrupting import Steps, on_a_small_disk
from tests.attacks.writers import contents, lay_out
from tests.workbench.running import wordtight
from workbench.grading import grade
from workbench.stand.logbook import read_log

SIZES = (0, 10, 200, 700)
"""Bytes that a file may have on the small disks: nothing, and less than each of the files that are made."""


class Keeper(NamedTuple):
    """A command that keeps what is done: its words, those that take it up, what is typed, and what it has kept.

    kept: of the folder as it stands, in pieces; what is kept once is never lost.
    """

    words: tuple[str, ...]
    again: tuple[str, ...]
    typed: bytes
    kept: Callable[[], list[str]]


def graded():
    """The rows that are judged, as the journal has them; one that is not written to its end is none."""
    journal = Path("made/graded.jsonl")
    return journal.read_text(encoding="utf-8").split("\n")[:-1] if journal.exists() else []


def logged():
    """The events in the log; none where there is not even its first line."""
    log = Path("made.jsonl")
    if not log.exists() or b"\n" not in log.read_bytes():
        return []
    return [repr(event) for event in read_log(log).events]


GRADE = ("grade", "sheets", "--game", "two-by-two", "--seat", "first", "-o", "made")
SERVE = ("serve", "my.rules", "--log", "made.jsonl")
KEEPERS = {
    "grade": Keeper(GRADE, (*GRADE, "--resume"), b"", graded),
    "serve": Keeper((*SERVE, "--go-on"), (*SERVE, "--go-on"), b"\nb2\n\nb2\nclose\n", logged),
}


class AtOnce(Executor):
    """Does every task as it comes, in this process, which is listened to."""

    def submit(self, fn, /, *args):
        future = Future()
        future.set_result(fn(*args))
        return future

    def shutdown(self, **how):
        """Nothing is left to be done."""


class Pieces(Steps):
    """The steps, and every piece of a log that is written: half of it is on the disk when that fails."""

    def __init__(self):
        super().__init__()
        self.write, self.push = os.write, os.fsync
        os.write, os.fsync = self.written, self.pushed

    def written(self, handle, piece):
        try:
            self.hear("os.mkdir", (f"piece for {handle}",))
        except BaseException:
            self.write(handle, piece[: len(piece) // 2])
            raise
        return self.write(handle, piece)

    def pushed(self, handle):
        self.hear("os.mkdir", (f"push of {handle}",))
        self.push(handle)


def tried(name, pieces):
    """What comes of every failure: how it ended, whether anything was lost, and how it went on."""
    keeper = KEEPERS[name]
    whole = in_a_folder(keeper, lambda: wordtight(*keeper.words, stdin=keeper.typed))["made"]
    for failure, error in (
        ("interrupt", KeyboardInterrupt()),
        ("full", OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))),
    ):
        number, ended = 0, False
        while not ended:
            number += 1
            found = in_a_folder(
                keeper, lambda at=number, error=error: pieces.run(keeper.words, at, error, stdin=keeper.typed)
            )
            ended = pieces.count < number
            if not ended:
                yield {"failure": failure, "is_whole": found.pop("made") == whole, **found}
    for size in SIZES:
        found = in_a_folder(keeper, lambda size=size: on_a_small_disk(size, keeper.words, stdin=keeper.typed))
        yield {"failure": "small-disk", "is_whole": found.pop("made") == whole, **found}


def in_a_folder(keeper, run):
    """One run that fails, and what comes of taking it up; made: the files in the end, but for what is kept."""
    with tempfile.TemporaryDirectory(prefix="wordtight-keeper-") as folder:
        os.chdir(folder)
        lay_out(Path())
        Path("sheets").mkdir()
        for name in ("my.rules", "weak.rules"):
            Path("sheets", name).write_bytes(Path(name).read_bytes())
        ran = run()
        before = keeper.kept()
        again = wordtight(*keeper.again, stdin=keeper.typed)
        after = keeper.kept()
        made = {file: what for file, what in contents(Path()).items() if not file.endswith(".jsonl")}
        os.chdir("/")
    return {
        "status": ran.status,
        "err": ran.err,
        "is_lost": after[: len(before)] != before,
        "again": again.status,
        "again_err": again.err,
        "made": made,
    }


if __name__ == "__main__":
    grade._own_crew = lambda request, tasks: AtOnce()
    print(json.dumps(list(tried(sys.argv[1], Pieces()))))
