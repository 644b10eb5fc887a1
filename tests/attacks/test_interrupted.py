"""Ctrl-C, a full disk, an unwritable folder at every step of a command that writes: the old file or the new one.

A command that keeps what is done so far, in the log of a stand or the journal of a class, loses nothing of that, and
comes to the same when it is taken up again.
"""

import json
import subprocess
import sys

import pytest

from tests.attacks.taking_up import KEEPERS
from tests.attacks.writers import WRITERS
from tests.workbench.processes import environment, posix_only

pytestmark = posix_only

QUICK = ("new", "serve")
"""Those that are tried in every run; the others, which write in the same way, in the long tests."""
SAID = {
    "interrupt": "interrupted",
    "full": ": No space left on device",
    "small-disk": ": File too large",
    "unwritable": ": cannot be written: the system does not permit it",
}
"""What is said of each kind of failure."""


def cases(names):
    return [pytest.param(name, marks=[] if name in QUICK else [pytest.mark.long], id=name) for name in names]


def what_came_of(module, name):
    command = [sys.executable, "-m", module, name]
    ran = subprocess.run(command, env=environment(TMPDIR="/tmp"), capture_output=True, check=False)
    assert ran.returncode == 0, ran.stderr.decode()
    return json.loads(ran.stdout)


@pytest.mark.parametrize("name", cases(WRITERS))
def test_what_was_there_stays_or_what_is_made_is_whole(name):
    found = what_came_of("tests.attacks.interrupting", name)
    assert set(found) == set(SAID)
    for failure, results in found.items():
        assert results
        for each in results:
            assert_whole(failure, each)


def assert_whole(failure, found):
    """The old state with nothing beside it, and one line; or the new one, where only taking the old away failed.

    Of several files each is whole, and the one that names the others is written last.
    """
    if found["status"] == 0:
        assert (failure, found["state"]) == ("full", "new")
        return
    assert found["status"] == (130 if failure == "interrupt" else 2)
    assert found["err"].strip().endswith(SAID[failure]), found
    assert found["err"].strip().count("\n") == 0
    if found["state"] == "new":
        assert failure == "interrupt"
        return
    assert found["state"] in ("old", "part")
    assert found["beside"] == []


@pytest.mark.parametrize("name", cases(KEEPERS))
def test_what_was_kept_is_never_lost_and_is_taken_up_again(name):
    found = what_came_of("tests.attacks.taking_up", name)
    assert {each["failure"] for each in found} == {"interrupt", "full", "small-disk"}
    assert len(found) > 20
    for each in found:
        assert each["status"] == (130 if each["failure"] == "interrupt" else 2), each
        assert each["failure"] == "interrupt" or each["err"].strip().endswith(SAID[each["failure"]]), each
        assert "\n" not in each["err"].strip(), each
        assert not each["is_lost"], each
        assert (each["again"], each["again_err"], each["is_whole"]) == (0, "", True), each
