"""Tests are run in a copy, by a process of its own, and whatever becomes of them is told."""

import json
import subprocess
import sys

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


@pytest.mark.long
def test_it_is_told_what_passes_what_fails_and_what_never_ends(tmp_path):
    """A file is changed again and again within a second: nothing that was compiled before may be taken for it."""
    tree = tmp_path / "tree"
    (tree / "games").mkdir(parents=True)
    (tree / "games" / "__init__.py").touch()
    (tree / "games" / "small.py").write_text(MODULE, encoding="utf-8")
    (tree / "test_small.py").write_text(TESTS, encoding="utf-8")
    (tree / "pyproject.toml").touch()
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
