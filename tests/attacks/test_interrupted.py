"""Ctrl-C, a full disk, an unwritable folder at every step of a command that writes: the old file or the new one."""

import json
import subprocess
import sys

import pytest

from tests.attacks.writers import WRITERS
from tests.workbench.processes import environment, posix_only

pytestmark = posix_only

QUICK = ("new",)
"""Those that are tried in every run; the others, which write in the same way, in the long tests."""
SAID = {
    "interrupt": "interrupted",
    "full": ": No space left on device",
    "small-disk": ": File too large",
    "unwritable": ": cannot be written: the system does not permit it",
}
"""What is said of each kind of failure."""
CASES = [pytest.param(name, marks=[] if name in QUICK else [pytest.mark.long], id=name) for name in WRITERS]


@pytest.mark.parametrize("name", CASES)
def test_what_was_there_stays_or_what_is_made_is_whole(name):
    command = [sys.executable, "-m", "tests.attacks.interrupting", name]
    ran = subprocess.run(command, env=environment(TMPDIR="/tmp"), capture_output=True, check=False)
    assert ran.returncode == 0, ran.stderr.decode()
    found = json.loads(ran.stdout)
    assert set(found) == set(SAID)
    for failure, results in found.items():
        assert results
        for each in results:
            assert_whole(failure, each)


def assert_whole(failure, found):
    """The old state with nothing beside it, and one line; or the new one, where only taking the old away failed."""
    if found["status"] == 0:
        assert (failure, found["state"]) == ("full", "new")
        return
    assert found["status"] == (130 if failure == "interrupt" else 2)
    assert found["err"].strip().endswith(SAID[failure]), found
    assert found["err"].strip().count("\n") == 0
    if found["state"] == "new":
        assert failure == "interrupt"
        return
    assert found["state"] == "old"
    assert found["beside"] == []
