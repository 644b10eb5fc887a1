"""How far the work is and how long it will take: nothing false, and nothing before there is something to judge by."""

import io
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from solver.progress import PLANNED, Progress, Stage, counted
from workbench.progress import ROOM, ProgressLine, as_line
from workbench.timeleft import ENOUGH, PATIENCE, TimeLeft, in_words

BACK, MORE = Stage("working back", is_last=True), Stage("joining moves")


class Clock:
    def __init__(self):
        self.now = 1000.0

    def __call__(self):
        return self.now


def told(seconds, total, *, steps, before=0, stage=BACK, clock=None):
    """What is left, as told and in truth, after each of so many equal steps of work that takes so long in all."""
    clock = clock or Clock()
    left = TimeLeft(clock)
    left.after(Progress(stage, before, total, total))
    for step in range(1, steps + 1):
        clock.now += seconds / steps
        done = before + (total - before) * step // steps
        yield step, left.after(Progress(stage, done, total, total)), seconds * (1 - step / steps)


@given(
    seconds=st.floats(10, 100_000),
    total=st.integers(10_000, 10**12),
    steps=st.integers(10, 300),
    before=st.floats(0, 0.9),
)
def test_the_time_left_is_right_while_work_goes_on_evenly(seconds, total, steps, before):
    """Also where an earlier run has done some of it."""
    told_once = False
    for step, left, truth in told(seconds, total, steps=steps, before=int(before * total)):
        if left is None:
            assert seconds * step / steps < PATIENCE * 1.01 or step / steps < ENOUGH * 1.1
        else:
            told_once = True
            assert left == pytest.approx(truth, rel=0.1, abs=seconds * 0.01)
    assert told_once


@given(seconds=st.floats(10, 10_000), steps=st.integers(100, 1000))
def test_nothing_is_said_in_the_first_moments(seconds, steps):
    for step, left, _ in told(seconds, 1_000_000, steps=steps):
        if seconds * step / steps < PATIENCE * 0.99 or step / steps < ENOUGH * 0.99:
            assert left is None


def test_nothing_is_said_while_positions_are_counted():
    clock = Clock()
    left = TimeLeft(clock)
    for ply in range(100):
        clock.now += 60
        assert left.after(counted(ply, 10_000 * ply)) is None


def test_each_stage_and_each_game_is_judged_by_itself():
    clock = Clock()
    left = TimeLeft(clock)
    left.after(Progress(MORE, 0, 100, 7))
    clock.now += 1000
    assert left.after(Progress(MORE, 50, 100, 7)) == 1000
    assert left.after(Progress(BACK, 0, 100, 7)) is None
    clock.now += 10
    assert left.after(Progress(BACK, 50, 100, 7)) == 10
    assert left.after(Progress(BACK, 0, 200, 8)) is None  # the next game
    clock.now += 10
    assert left.after(Progress(BACK, 100, 200, 8)) == 10


def test_nothing_is_said_of_a_stage_whose_shares_are_not_even():
    for _, left, _ in told(1000, 100, steps=50, stage=Stage("working back", is_even=False)):
        assert left is None


def test_a_clock_that_stands_still_is_no_mistake():
    left = TimeLeft(lambda: 0.0)
    for done in (0, 50, 100):
        assert left.after(Progress(BACK, done, 100, 7)) is None


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        (0, "a few seconds"),
        (4.9, "a few seconds"),
        (5, "5 s"),
        (31, "30 s"),
        (57.4, "55 s"),
        (57.6, "1 min"),
        (61, "1 min"),
        (66, "1 min 10 s"),
        (123, "2 min"),
        (599, "10 min"),
        (700, "12 min"),
        (3_590, "1 h"),
        (3_600, "1 h"),
        (5_000, "1 h 23 min"),
        (100_000, "27 h 47 min"),
    ],
)
def test_times_in_words(seconds, said):
    assert in_words(seconds) == said


@pytest.mark.parametrize(
    ("progress", "left", "line"),
    [
        (counted(7, 12_345), None, "counting positions: 12,345 so far, up to ply 7 ..."),
        (Progress(BACK, 1, 3, 5_478), None, "working back: 33 % of 5,478 positions ..."),
        (Progress(BACK, 1, 3, 5_478), 31.0, "working back: 33 %, about 30 s left"),
        (
            Progress(MORE, 2, 3, 9),
            200,
            "joining moves: 66 %, about 3 min 20 s left in this step",
        ),
        (
            Progress(Stage("working back", is_last=True, may_end_early=True), 2, 3, 9),
            2,
            "working back: 66 %, at most a few seconds left",
        ),
    ],
)
def test_the_line(progress, left, line):
    assert as_line(progress, left) == line


def test_the_line_of_one_of_several_pieces():
    half = Progress(BACK, 1, 2, 9)
    longest = "under house rules, working back: 50 %, about 1 h 40 min left in this step"
    assert as_line(half, 6000, "under house rules", more=True) == longest
    assert len(longest) <= ROOM
    assert as_line(half, 6000, "under house rules") == longest.removesuffix(" in this step")
    assert as_line(counted(7, 10**9), None, "under house rules").startswith(
        "under house rules, counting positions: "
    )


class Terminal(io.StringIO):
    def isatty(self):
        return True


def shown(monkeypatch, reports, *, watched=True):
    """What a terminal has been sent, after a second and more for each report."""
    terminal = Terminal() if watched else io.StringIO()
    now = [0.0]
    monkeypatch.setattr(sys, "stderr", terminal)
    monkeypatch.setattr("workbench.progress.time.monotonic", lambda: now[0])
    with ProgressLine() as line:
        for report in reports:
            line(report)
            now[0] += 1.5
    return terminal.getvalue()


REPORTS = [counted(0, 1), counted(1, 10), Progress(PLANNED, 0, 0, 0), Progress(BACK, 5, 10, 10)]


def test_the_line_is_shown_after_a_second_and_wiped(monkeypatch):
    said = shown(monkeypatch, REPORTS)
    lines = [part.rstrip() for part in said.split("\r")[1:]]
    assert lines == [
        "counting positions: 10 so far, up to ply 1 ...",
        "working back: 50 % of 10 positions ...",
        "",
        "",
    ]
    assert "\n" not in said


def test_nothing_is_shown_where_nobody_looks(monkeypatch):
    assert shown(monkeypatch, REPORTS, watched=False) == ""


def test_nothing_is_shown_of_short_work(monkeypatch):
    assert shown(monkeypatch, REPORTS[:1]) == ""
