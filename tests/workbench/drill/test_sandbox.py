"""What is held of a program: the command line that is made, with bubblewrap and without, and what is said about it."""

import shutil
import signal
from subprocess import DEVNULL

import pytest

from tests.workbench.drill.bank import open_folder
from tests.workbench.processes import posix_only
from workbench.drill import sandbox as module
from workbench.drill.sandbox import Limits, Sandbox

NOT_HELD = "network and other files NOT held"
WORKS = '#!/bin/sh\nwhile [ "$1" != /bin/sh ]; do shift; done\nexec "$@"\n'
"""Stands in for bubblewrap: it runs the command behind its options, and shuts nothing in."""
REFUSED = "#!/bin/sh\nexit 1\n"
"""The same where the system does not let it build its walls."""
WALLS = "--ro-bind / / --dev-bind /dev /dev --proc /proc --bind {0} {0} --chdir {0} --unshare-all --die-with-parent"


@pytest.fixture
def started(monkeypatch):
    """Every command that a sandbox starts, word by word."""
    commands = []
    starts = Sandbox._popen

    def noting(self, command, stdin, stdout):
        commands.append(list(command))
        return starts(self, command, stdin, stdout)

    monkeypatch.setattr(Sandbox, "_popen", noting)
    return commands


def bubblewrap(monkeypatch, text, folder):
    """Let a script be the bubblewrap that is found; none if there is no text."""
    path = folder / "bwrap"
    if text:
        path.write_text(text, encoding="utf-8")
        path.chmod(0o755)
    found = str(path) if text else None
    which = shutil.which
    monkeypatch.setattr(shutil, "which", lambda name, **how: found if name == "bwrap" else which(name, **how))
    return found


@posix_only
def test_with_bubblewrap_a_program_is_shut_in(monkeypatch, started):
    with open_folder() as folder:
        bwrap = bubblewrap(monkeypatch, WORKS, folder)
        with Sandbox(Limits()) as sandbox:
            assert sandbox.held[-1] == "no network, and only its scratch folder can be written (bubblewrap)"
            sandbox.start(["true"], stdin=DEVNULL, stdout=DEVNULL).wait(300)
            walls = [bwrap, *WALLS.format(sandbox.folder).split()]
            probe, program = started
            assert probe == [*walls, "/bin/sh", "-c", ":"]
            assert program[: len(walls) + 2] == [*walls, "/bin/sh", "-c"]
            assert program[-1] == "true"
            assert sandbox.true_status(128 + signal.SIGSEGV) == -signal.SIGSEGV


@posix_only
@pytest.mark.parametrize("text", ["", REFUSED], ids=["absent", "refused"])
def test_without_it_only_the_limits_hold_and_that_is_said(monkeypatch, started, text):
    with open_folder() as folder:
        bubblewrap(monkeypatch, text, folder)
        with Sandbox(Limits()) as sandbox:
            assert sandbox.held[-1] == NOT_HELD
            sandbox.start(["true"], stdin=DEVNULL, stdout=DEVNULL).wait(300)
            assert len(started) == (2 if text else 1)  # the probe, and the program
            assert started[-1][:2] == ["/bin/sh", "-c"]
            assert [limit in started[-1][2] for limit in ("ulimit -v", "ulimit -f", "ulimit -n")] == [
                True
            ] * 3
            assert sandbox.true_status(128 + signal.SIGSEGV) == 128 + signal.SIGSEGV


def test_on_windows_time_and_output_are_held_and_nothing_else_is_claimed(monkeypatch):
    monkeypatch.setattr(module, "IS_POSIX", False)
    with Sandbox(Limits()) as sandbox:
        assert sandbox.held == ("2,000 ms and 64 KB of output for one answer", NOT_HELD)
        assert sandbox._limited(["program", "argument"]) == ["program", "argument"]
