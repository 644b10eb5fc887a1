"""A drill that is broken off, at its worst moments, and taken up again."""

import json
import signal
import subprocess
import sys

import pytest

from games.problems import BadInput
from tests.workbench.drill.bank import GAME, causes, drilled, open_folder, placed, written
from tests.workbench.drill.test_drill import TWO_BY_TWO
from tests.workbench.processes import environment, posix_only
from workbench.drill.ahead import Memory
from workbench.drill.bookmark import Bookmark, _as_data, _fault, request_digest
from workbench.drill.drilling import Drill
from workbench.drill.faults import Fault, Ply, Step
from workbench.drill.reading import Piece
from workbench.drill.rules import Entry

pytestmark = posix_only


@pytest.fixture
def keyed(monkeypatch):
    """Every line that is keyed in, one at a time."""
    lines, one = [], Drill._line

    def noting(self, *arguments):
        found = one(self, *arguments)
        lines.append(found[0])
        return found

    monkeypatch.setattr(Drill, "_line", noting)
    monkeypatch.setattr(Memory, "serves", False)
    return lines


def test_a_drill_that_was_broken_off_is_taken_up_again(tmp_path):
    """In many short pieces it finds what it finds in one, and does not begin anew each time."""
    with open_folder() as folder:
        oxo, mark = placed("oxo.py", folder), tmp_path / "mark.json"
        command = [oxo, "late-wins-are-draws"]
        whole = drilled(command)
        bookmark = Bookmark(str(mark), request_digest(command, GAME, "first", "never-loses", "usual", None))
        pieces = 0
        while pieces == 0 or mark.exists():
            calls = iter(range(20))
            found = drilled(
                command, bookmark=bookmark, enough=lambda ledger, calls=calls: next(calls, None) is None
            )
            pieces += 1
            assert pieces < 60
        assert pieces > 3
        assert [fault._replace(times=0) for fault in found.faults] == [
            fault._replace(times=0) for fault in whole.faults
        ]
        assert (found.finals, [each.is_whole for each in found.rounds]) == (whole.finals, [True])


def test_a_mark_keeps_a_fault_whole_the_way_its_answers_ended_too():
    entry = Entry(b"b1", "b1", "legal", 2)
    step = Step(entry, (Piece("I WIN", "the machine wins"),), (Ply(0, 2, 4, by_machine=False),), "ends")
    fault = Fault("conduct", "stopped", "legal", "it ends", (Step(None, (), ()), step), 3)
    assert _fault(json.loads(json.dumps(_as_data(fault)))) == fault


def test_a_round_that_was_only_just_begun_is_gone_through_from_its_first_line(keyed, monkeypatch, tmp_path):
    with open_folder() as folder:
        right, ways = written(TWO_BY_TWO, folder), {"game": "two-by-two", "wrong": 1}
        drilled([right], **ways)
        whole, keyed[:] = set(keyed), []
        bookmark = Bookmark(str(tmp_path / "mark"), "request")
        play = Drill.round
        with monkeypatch.context() as patch:
            patch.setattr(
                Drill, "round", lambda self, wrong, on: play(self, wrong, on if not wrong else is_over)
            )
            assert [each.lines > 0 for each in drilled([right], bookmark=bookmark, **ways).rounds] == [
                True,
                False,
            ]
        found = drilled([right], bookmark=bookmark, **ways)
        assert ([each.is_whole for each in found.rounds], found.verdict) == ([True, True], "no-fault-found")
        assert set(keyed) == whole
        assert not (tmp_path / "mark").exists()


def is_over(done):
    return False


def test_games_at_random_do_not_move_the_mark(tmp_path):
    with open_folder() as folder:
        mark = tmp_path / "mark"
        bookmark, how = Bookmark(str(mark), "request"), {"seconds": 0, "games": 5}
        found = drilled([written(TWO_BY_TWO, folder)], game="two-by-two", bookmark=bookmark, **how)
        assert found.sampled.games == 5
        assert json.loads(mark.read_text())["work"]["last_line"] == []


def test_where_time_is_over_at_once_the_mark_stays_where_it_was(monkeypatch, tmp_path):
    with open_folder() as folder:
        right, mark = written(TWO_BY_TWO, folder), tmp_path / "mark"
        bookmark, ways = Bookmark(str(mark), "request"), {"game": "two-by-two", "wrong": 0}
        calls = iter(range(2))
        drilled([right], bookmark=bookmark, enough=lambda ledger: next(calls, None) is None, **ways)
        kept = mark.read_text()
        drilled([right], bookmark=bookmark, seconds=0, **ways)
        assert mark.read_text() == kept


KILLED = """
import os, signal, sys
from tests.workbench.drill.bank import drilled
from workbench.drill import report
from workbench.drill.bookmark import Bookmark

report.KEEP_EVERY = 0
calls = iter(range(25))
def enough(ledger):
    if next(calls, None) is None:
        os.kill(os.getpid(), signal.SIGKILL)
drilled(sys.argv[1:3], bookmark=Bookmark(sys.argv[3], "request"), enough=enough)
"""
"""A drill that the system ends, without a word, after some lines."""


@pytest.mark.long
def test_a_drill_that_is_killed_is_taken_up_where_it_was_kept_last(keyed, tmp_path):
    with open_folder() as folder:
        command = [placed("oxo.py", folder), "late-wins-are-draws"]
        whole = drilled(command)
        once, keyed[:] = len(keyed), []
        mark = tmp_path / "mark"
        started = [sys.executable, "-c", KILLED, *command, str(mark)]
        killed = subprocess.run(started, env=environment(TMPDIR=str(folder)), check=False)
        assert killed.returncode == -signal.SIGKILL
        found = drilled(command, bookmark=Bookmark(str(mark), "request"))
        assert causes(found) == causes(whole)
        assert found.finals == whole.finals
        assert [each.is_whole for each in found.rounds] == [True]
        assert len(keyed) < once
        assert not mark.exists()


def test_a_mark_that_cannot_be_written_is_told_of_before_the_work(tmp_path):
    with open_folder() as folder:
        bookmark = Bookmark(str(tmp_path / "nowhere" / "mark"), "request")
        with pytest.raises(BadInput, match="cannot be written: there is no such folder"):
            drilled([written(TWO_BY_TWO, folder)], game="two-by-two", bookmark=bookmark, enough=never)


def never(ledger):
    raise AssertionError("nothing is keyed in")
