"""Runs one command again and again, each time with something else that goes wrong; prints what came of it as JSON.

    python -m tests.attacks.interrupting WRITER

It is interrupted, and the disk is full, at every step at which it opens, renames or removes something in its folder
(Python tells of each before it is done); it has a small disk, on which no file can grow beyond some bytes; and a folder
that may not be written.  It is a process of its own, since what listens to Python's steps cannot be taken away again.
"""

import errno
import json
import os
import resource
import sys
import tempfile
from pathlib import Path

from tests.attacks.writers import WRITERS, contents, lay_out
from tests.workbench.running import wordtight
from workbench.commands import plan

STEPS = {"os.rename", "os.mkdir", "os.rmdir", "os.remove", "os.chmod", "tempfile.mkstemp", "tempfile.mkdtemp"}
WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT
FAILURES = ("interrupt", "full", "small-disk", "unwritable")
NOBODY = 65534
SIZES = (0, 1, 50)
"""Bytes that a file may have on the small disks; each of the files that are made is larger."""


class Steps:
    """Counts the steps at which a command changes its folder, and lets one of them fail."""

    def __init__(self):
        self.count, self.fails_at, self.failure, self.is_on = 0, 0, None, False
        sys.addaudithook(self.hear)

    def hear(self, event, arguments):
        if not self.is_on or not (event in STEPS or (event == "open" and arguments[2] & WRITING)):
            return
        if str(arguments[0]).startswith(("/dev", sys.prefix)) or "__pycache__" in str(arguments[0]):
            return
        self.count += 1
        if self.count == self.fails_at:
            raise self.failure

    def run(self, words, fails_at=0, failure=None, stdin=b""):
        self.count, self.fails_at, self.failure, self.is_on = 0, fails_at, failure, True
        try:
            return wordtight(*words, stdin=stdin)
        finally:
            self.is_on = False


def tried(name, steps, failure):
    """What comes of every failure of a kind: status, what is said, and the folder before and after."""
    for there in (False, True) if WRITERS[name].can_force else (False,):
        with tempfile.TemporaryDirectory(prefix="wordtight-writer-") as folder:
            os.chdir(folder)
            Path(folder).chmod(0o777)
            lay_out(Path())
            laid_out, writer = contents(Path()), WRITERS[name]
            first = steps.run(writer.words)
            assert first.status == 0, first
            whole = contents(Path())
            if there:
                old = (
                    Path(writer.makes) if Path(writer.makes).is_file() else next(Path(writer.makes).iterdir())
                )
                old.write_bytes(b"old")
            else:
                put_back(laid_out, writer.makes)
            before = contents(Path())
            for ran in failing(failure, steps, writer.again if there else writer.words):
                after = contents(Path())
                beside = sorted(set(after) - set(before) - set(whole))
                seen = {name: content for name, content in after.items() if name not in beside}
                state = state_of(seen, before, whole, writer.makes)
                yield {"status": ran.status, "err": ran.err, "state": state, "beside": beside}
                put_back(before, writer.makes)
            os.chdir("/")


def state_of(seen, before, whole, makes):
    """Old, new, or part: every file is whole, and the one that names the others is still the old one."""
    if seen in (before, whole):
        return "old" if seen == before else "new"
    every = all(seen.get(file) in (before.get(file), whole.get(file)) for file in {*seen, *before, *whole})
    return "part" if every and seen.get(makes) == before.get(makes) else "other"


def failing(failure, steps, words):
    """The runs, in each of which something else goes wrong."""
    if failure == "small-disk":
        for size in SIZES:
            yield on_a_small_disk(size, words)
    elif failure == "unwritable":
        on_a_small_disk(0, words)  # loads all that is needed, while it may be read
        yield in_an_unwritable_folder(words)
    else:
        number = 0
        while True:
            number += 1
            error = (
                KeyboardInterrupt()
                if failure == "interrupt"
                else OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            )
            ran = steps.run(words, number, error)
            if steps.count < number:
                return
            yield ran


def on_a_small_disk(size, words, stdin=b""):
    most = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, most[1]))
    try:
        return wordtight(*words, stdin=stdin)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, most)


def in_an_unwritable_folder(words):
    """As an unprivileged user: who is root may write everywhere."""
    folders = [Path(), *(each for each in Path().rglob("*") if each.is_dir())]
    for each in folders:
        each.chmod(0o555)
    as_root = os.geteuid() == 0
    if as_root:
        os.seteuid(NOBODY)
    try:
        return wordtight(*words)
    finally:
        if as_root:
            os.seteuid(0)
        for each in folders:
            each.chmod(0o777)


def made_once(module, name):
    """Let a long search be made at its first call alone: what is tried is what happens when its outcome is written."""
    search, found = getattr(module, name), []

    def known(*arguments):
        if not found:
            found.append(search(*arguments))
        return found[0]

    setattr(module, name, known)


def remove(path):
    if path.is_dir():
        for each in path.iterdir():
            remove(each)
        path.rmdir()
    else:
        path.unlink(missing_ok=True)


def put_back(before, made):
    """The folder as it was."""
    for each in list(Path().iterdir()):
        if str(each) not in before or str(each) == made:
            remove(each)
    for name, content in before.items():
        if content:
            Path(name).parent.mkdir(exist_ok=True)
            Path(name).write_bytes(content)


if __name__ == "__main__":
    listening = Steps()
    made_once(plan, "plan")
    print(json.dumps({failure: list(tried(sys.argv[1], listening, failure)) for failure in FAILURES}))
