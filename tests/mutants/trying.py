"""A copy of the tree, and tests that run in it, each time in a process that has loaded nothing of ours yet."""

import compileall
import contextlib
import ctypes
import functools
import json
import os
import resource
import select
import shutil
import signal
import subprocess
import sys
import time
import traceback
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

# Loaded here, so that the processes that are forked off need not: what is not ours is the same for every mutant.
import hypothesis
import lark
import networkx as nx
import numpy as np
import pytest
import rich.console

from tests.mutants.rooms import ROOT

OURS = ("games", "solver", "budget", "workbench", "tests")
MEMORY = 6 << 30
"""Bytes that a mutant may ask for: some never stop asking."""
SETTINGS = (
    "-x",
    "-q",
    "--rootdir=.",
    "--config-file=pyproject.toml",
    "-pno:cacheprovider",
    "-Wignore:Module already imported:pytest.PytestAssertRewriteWarning",
)
PARENT_DEATH_SIGNAL = 1
"""The number by which Linux knows the option of prctl that is called PR_SET_PDEATHSIG."""
LOADED = (hypothesis, lark, nx, np, pytest, rich.console)


@dataclass(frozen=True)
class Tree:
    """A copy of the tree; nothing is ever changed outside of it."""

    folder: Path

    @classmethod
    def copied(cls) -> "Tree":
        """What git knows or would add, as it is now, in build/mutants/tree; what has been compiled there stays."""
        folder = ROOT / "build" / "mutants" / "tree"
        command = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
        listed = subprocess.run(command, cwd=ROOT, check=True, capture_output=True, text=True)
        names = {name for name in listed.stdout.split("\0") if name and (ROOT / name).is_file()}
        for file in list(folder.rglob("*")):
            if file.is_file() and file.suffix != ".pyc" and file.relative_to(folder).as_posix() not in names:
                file.unlink()
        for name in names:
            there, here = folder / name, ROOT / name
            if not (there.exists() and _same_stamp(there, here)):
                there.parent.mkdir(parents=True, exist_ok=True)
                shutil.copy2(here, there)
        compileall.compile_dir(folder, quiet=2)
        return cls(folder)

    def coverage_settings(self, data_file: Path) -> Path:
        """Settings under which coverage names the lines alone: with branches it takes far longer."""
        file = self.folder.parent / "coverage.ini"
        file.write_text(f"[run]\ndata_file = {data_file}\n", encoding="utf-8")
        return file


def _same_stamp(one: Path, other: Path) -> bool:
    """Whether two files are of one size and one time: a mutant that was left behind is of a later one."""
    return (one.stat().st_size, one.stat().st_mtime_ns) == (other.stat().st_size, other.stat().st_mtime_ns)


@dataclass
class Outcome:
    """How a run of tests ended: pytest's status, None after the time limit; what failed; what each test took."""

    status: int | None
    failed: str | None = None
    seconds: dict[str, float] = field(default_factory=dict)


class Heard:
    """A plugin for pytest that keeps what an Outcome is made of."""

    def __init__(self) -> None:
        self.failed: str | None = None
        self.seconds: dict[str, float] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.seconds[report.nodeid] = self.seconds.get(report.nodeid, 0.0) + report.duration
        if report.failed and self.failed is None:
            self.failed = report.nodeid


class Measuring(Heard):
    """The same where it is measured what each test reaches: what an earlier test has worked out is worked out again."""

    def pytest_runtest_teardown(self) -> None:
        for name, module in list(sys.modules.items()):
            if name.partition(".")[0] in OURS:
                for kept in vars(module).values():
                    if isinstance(kept, functools._lru_cache_wrapper):
                        kept.cache_clear()


def run_tests(tree: Tree, arguments: Sequence[str], seconds: float, *, measures: bool = False) -> Outcome:
    """Run pytest in the copy, until the first failure; at most so many seconds.

    measures: what each test reaches is wanted, and the tree is as it should be.  Only then does Python keep what it
    compiles: it would know a file again by its second and its size alone, and of two mutants take the wrong one.
    """
    reader, writer = os.pipe()
    child = os.fork()
    if not child:
        os.close(reader)
        _run_and_exit(tree, arguments, writer, measures=measures)
    os.close(writer)
    told = None
    try:
        told = _told(reader, time.monotonic() + seconds)
    finally:
        os.close(reader)
        with contextlib.suppress(ProcessLookupError):  # what it has started goes with it
            os.killpg(child, signal.SIGKILL if told is None else signal.SIGTERM)
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    if told is None:
        return Outcome(None)
    return Outcome(status, *json.loads(told)) if told else Outcome(status)


def _told(reader: int, until: float) -> bytes | None:
    """All that comes, until the other end is closed; None if that takes too long."""
    told = b""
    while select.select([reader], [], [], max(0.0, until - time.monotonic()))[0]:
        piece = os.read(reader, 1 << 16)
        if not piece:
            return told
        told += piece
    return None


def _run_and_exit(tree: Tree, arguments: Sequence[str], writer: int, *, measures: bool) -> None:
    """What the forked process does: it never returns."""
    status = 70
    try:
        os.setsid()
        _end_with_parent()
        silence = os.open(tree.folder.parent / "last-run.txt", os.O_RDWR | os.O_CREAT | os.O_TRUNC)
        for stream in range(3):
            os.dup2(silence, stream)
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
        _forget_ours(tree)
        _compile(measures)
        heard = Measuring() if measures else Heard()
        status = int(pytest.main([*SETTINGS, *arguments], plugins=[heard]))
        os.write(writer, json.dumps([heard.failed, heard.seconds]).encode())
    except BaseException:  # noqa: BLE001  whatever it is, it must not go on as a second parent
        traceback.print_exc()
    finally:
        sys.stderr.flush()
        os._exit(status)


def _end_with_parent() -> None:
    """A mutant may go on for ever: where the system can, it is killed as soon as whoever watches over it is gone."""
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL(None).prctl(PARENT_DEATH_SIGNAL, signal.SIGKILL)


def _forget_ours(tree: Tree) -> None:
    """From here on our packages come from the copy, for this process and for those that its tests start."""
    os.chdir(tree.folder)
    for name in [name for name in sys.modules if name.partition(".")[0] in OURS]:
        del sys.modules[name]
    sys.path[:] = [str(tree.folder), *(place for place in sys.path if Path(place).resolve() != ROOT)]
    os.environ["PYTHONPATH"] = str(tree.folder)


def _compile(keeps: bool) -> None:
    """Say whether compiled files are kept, here and in the processes that tests start."""
    sys.dont_write_bytecode = not keeps
    os.environ["PYTHONDONTWRITEBYTECODE"] = "" if keeps else "1"
