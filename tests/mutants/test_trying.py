"""Tests are run in a copy, by a process of its own, and whatever becomes of them is told."""

import json
import os
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest

from tests.mutants.rooms import ROOT

MODULE = """\
def twice(number):
    return number * 2
"""
TESTS = """\
from games.small import twice

def test_three():
    assert twice(3) == 6

def test_that_ends_by_itself():
    while twice(1) != 2:
        pass
"""
SCRIPT = """\
import json, sys
from dataclasses import astuple
from pathlib import Path
from tests.mutants.trying import Tree, run_tests

tree, module = Tree(Path(sys.argv[1])), Path(sys.argv[1]) / "games" / "small.py"
text = module.read_text()
for changed, limit in (
    (text, 600.0),
    (text.replace("*", "+"), 600.0),
    (text.replace("* 2", "* 2 if number > 1 else 0"), 5.0),
    ("import nothing_at_all", 600.0),
):
    module.write_text(changed)
    status, failed, seconds = astuple(run_tests(tree, ["test_small.py"], limit))
    print(json.dumps([status, failed, sorted(seconds)]))
"""


def small_tree(folder, tests):
    tree = folder / "tree"
    (tree / "games").mkdir(parents=True)
    (tree / "games" / "__init__.py").touch()
    (tree / "games" / "small.py").write_text(MODULE, encoding="utf-8")
    (tree / "test_small.py").write_text(tests, encoding="utf-8")
    (tree / "pyproject.toml").touch()
    return tree


@pytest.mark.long
def test_it_is_told_what_passes_what_fails_and_what_never_ends(tmp_path):
    """A file is changed again and again within a second: nothing that was compiled before may be taken for it."""
    tree = small_tree(tmp_path, TESTS)
    ran = subprocess.run(
        [sys.executable, "-c", SCRIPT, tree], cwd=ROOT, capture_output=True, encoding="utf-8", check=True
    )
    three, ending = "test_small.py::test_three", "test_small.py::test_that_ends_by_itself"
    assert [json.loads(line) for line in ran.stdout.splitlines()] == [
        [0, None, sorted([three, ending])],
        [1, three, [three]],
        [None, None, []],
        [2, None, []],
    ]


ENDLESS = """\
import os
from pathlib import Path

def test_that_never_ends():
    Path("pid.new").write_text(str(os.getpid()))
    os.replace("pid.new", "pid")
    while True:
        pass
"""
ALONE = """\
import sys
from pathlib import Path
from tests.mutants.trying import Tree, run_tests

run_tests(Tree(Path(sys.argv[1])), ["test_small.py"], 600.0)
"""


@pytest.mark.long
@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere no system call does this")
def test_a_mutant_that_never_ends_goes_when_its_parent_is_killed(tmp_path):
    tree = small_tree(tmp_path, ENDLESS)
    with subprocess.Popen([sys.executable, "-c", ALONE, tree], cwd=ROOT) as parent:
        while not (tree / "pid").exists():
            assert parent.poll() is None
            time.sleep(0.1)
        child = int((tree / "pid").read_text(encoding="utf-8"))
        os.kill(child, 0)
        parent.kill()
    last = time.monotonic() + 120
    while _goes_on(child) and time.monotonic() < last:
        time.sleep(0.1)
    try:
        assert not _goes_on(child)
    finally:
        with suppress(ProcessLookupError):
            os.kill(child, signal.SIGKILL)


def _goes_on(process):
    """Whether a process is there, and not only its name that nobody has asked for yet."""
    try:
        return Path(f"/proc/{process}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False
