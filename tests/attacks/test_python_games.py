"""Spoilt games in Python are taken or refused; they are tried in a process of their own."""

import json
import subprocess
import sys

import pytest

from tests.workbench.processes import environment, posix_only

pytestmark = posix_only


@pytest.mark.parametrize("count", [12, pytest.param(200, marks=pytest.mark.long)], ids=["some", "many"])
def test_spoilt_games_in_python_are_taken_or_refused(count):
    command = [sys.executable, "-m", "tests.attacks.spoilt_python", "1", str(count)]
    ran = subprocess.run(command, env=environment(), capture_output=True, check=False)
    assert ran.returncode == 0, ran.stderr.decode()
    came = json.loads(ran.stdout)
    assert came["taken"] > 0
    assert came["refused"] > 0
    assert sum(came.values()) == count
