"""How long an answer is waited for on a machine that is busy with other things."""

import os
import signal
import subprocess
import sys
import time

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


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="no other system tells what a process does")
def test_a_session_is_busy_while_anything_in_it_runs():
    spin = "import time; print(flush=True)\nend = time.time() + 60\nwhile time.time() < end: pass"
    inner = f"import subprocess, sys; subprocess.run([sys.executable, '-c', {spin!r}])"
    for code, is_busy in (
        ("import time; print(flush=True); time.sleep(60)", False),
        (spin, True),
        (inner, True),
    ):
        command = [sys.executable, "-c", code]
        with subprocess.Popen(command, stdout=subprocess.PIPE, start_new_session=True) as child:
            child.stdout.read(1)
            time.sleep(0.3)
            session = Session(child.pid)
            effort = session.look()
            assert (effort.is_busy, effort) == (is_busy, session.glance()._replace(ticks=effort.ticks))
            os.killpg(child.pid, signal.SIGKILL)
