"""How long an answer is waited for on a machine that is busy with other things."""

import os
import signal
import subprocess
import sys
import time
from contextlib import contextmanager

import pytest

from workbench.drill.patience import LONGEST, Effort, Patience, Session


class Told:
    """A session that does what it is told to have done."""

    def __init__(self, *efforts):
        self.efforts = list(efforts)

    def glance(self):
        return self.efforts.pop(0)

    look = glance


def patience_at(monkeypatch, seconds, *efforts, milliseconds=1000):
    patience = Patience(Told(*efforts), milliseconds)
    now = time.monotonic() + seconds
    monkeypatch.setattr("workbench.drill.patience.time.monotonic", lambda: now)
    return patience


STARVED, SATED, SLEEPS = Effort(True, 1), Effort(True, 100_000), Effort(False, 0)


@pytest.mark.parametrize(
    ("seconds", "before", "then", "is_over"),
    [
        (0.5, SLEEPS, SATED, False),
        (1.5, SLEEPS, SLEEPS, True),
        (1.5, SLEEPS, SATED, True),
        (1.5, SLEEPS, STARVED, False),
        (LONGEST + 1, SLEEPS, STARVED, True),
        (1.5, None, None, True),
        (0.5, None, None, False),
    ],
)
def test_its_time_is_over_when_it_had_it(monkeypatch, seconds, before, then, is_over):
    assert patience_at(monkeypatch, seconds, before, then).is_over is is_over


@pytest.mark.parametrize(
    ("before", "then", "has_settled"),
    [(SLEEPS, SLEEPS, True), (SLEEPS, STARVED, False), (SLEEPS, SATED, True), (None, None, True)],
)
def test_silence_counts_while_it_sleeps_or_has_run(before, then, has_settled):
    assert Patience(Told(before, then), 1000).has_settled(0.6) is has_settled


@contextmanager
def running(code):
    """A program in a session of its own that has printed a line."""
    command = [sys.executable, "-c", f"print(flush=True)\n{code}"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, start_new_session=True) as child:
        try:
            child.stdout.read(1)
            yield Session(child.pid)
        finally:
            os.killpg(child.pid, signal.SIGKILL)


SPIN = "while True: pass"
INNER = f"import subprocess, sys\nsubprocess.run([sys.executable, '-c', {SPIN!r}])"


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="no other system tells what a process does")
@pytest.mark.parametrize(
    ("code", "is_busy"),
    [("import time\ntime.sleep(3600)", False), (SPIN, True), (INNER, True)],
    ids=["sleeps", "spins", "what-it-started-spins"],
)
def test_a_session_is_busy_while_anything_in_it_runs(code, is_busy):
    """It comes to do what it is there for sooner or later, and goes on with it; a glance then tells the same."""
    with running(code) as session:
        end = time.monotonic() + 300
        in_a_row = 0
        while in_a_row < 3 and time.monotonic() < end:
            effort = session.look()
            in_a_row = in_a_row + 1 if effort.is_busy is is_busy else 0
            time.sleep(0.05)
        assert in_a_row == 3
        assert session.glance().is_busy is is_busy
        assert session.glance().ticks >= effort.ticks
