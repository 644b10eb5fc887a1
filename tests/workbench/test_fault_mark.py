"""A drill of faults that is broken off, by Ctrl-C or for good, and taken up again."""

import json
import shutil
import signal
import subprocess
import sys

import pytest

from budget.drilling import drill as drilling
from tests.budget.drilling.small import TERSE
from tests.budget.drilling.test_blame import IMAGES, mended
from tests.workbench.processes import environment, posix_only
from tests.workbench.running import wordtight
from workbench import fault_mark
from workbench.fault_mark import FaultMark

PART = 900
"""Faults that are drilled side by side, of about 2,200."""
HOW = ["drill", "right.orders", "--machine", "twelve-bit", "--strategy", "three.rules"]
HOW += ["--house-rules", "terse.toml", "--faults", "--json"]
KILLED = f"""
import os, signal, sys
from budget.drilling import drill
from workbench import fault_mark
from workbench.main import main

drill.FAULTS_TOGETHER = fault_mark.FAULTS_TOGETHER = {PART}
keep = fault_mark.FaultMark.keep

def keeping(self, outcomes):
    keep(self, outcomes)
    if outcomes:
        os.kill(os.getpid(), signal.SIGKILL)

fault_mark.FaultMark.keep = keeping
main(sys.argv[1:])
"""
"""The command, which the system ends, without a word, when the first part of the faults is drilled."""


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(drilling, "FAULTS_TOGETHER", PART)
    monkeypatch.setattr(fault_mark, "FAULTS_TOGETHER", PART)
    for name in ("three.toml", "three.rules"):
        shutil.copy(IMAGES / name, tmp_path)
    (tmp_path / "right.orders").write_text(mended("carry"))
    (tmp_path / "terse.toml").write_text(TERSE)
    return tmp_path


@posix_only
@pytest.mark.long
def test_a_drill_of_faults_that_is_killed_is_taken_up_again(folder, monkeypatch):
    """What comes out is what a drill in one piece finds, and what was done is not done again."""
    command = [sys.executable, "-c", KILLED, *HOW, "--resume", "mark.json"]
    killed = subprocess.run(command, env=environment(), stdout=subprocess.PIPE, check=False)
    assert (killed.returncode, killed.stdout) == (-signal.SIGKILL, b"")
    kept = []
    keep = FaultMark.keep
    monkeypatch.setattr(
        FaultMark, "keep", lambda self, outcomes: kept.append(len(outcomes)) or keep(self, outcomes)
    )
    ran = wordtight(*HOW, "--resume", "mark.json", "-o", "parts.json")
    assert kept[:2] == [PART, 2 * PART]
    assert not (folder / "mark.json").exists()
    whole = wordtight(*HOW, "-o", "whole.json")
    assert (folder / "parts.json").read_bytes() == (folder / "whole.json").read_bytes()
    assert json.loads(ran.out)["faults"] == json.loads(whole.out)["faults"]
    assert kept[-1] == json.loads(whole.out)["faults"]["drilled"]


def broken_off(monkeypatch, *more):
    """Press Ctrl-C when nothing is drilled yet, and the mark is written."""
    with monkeypatch.context() as patch:
        patch.setattr(drilling._Drill, "run", lambda self, known: (_ for _ in ()).throw(KeyboardInterrupt))
        return wordtight(*HOW, *more, "--resume", "mark.json")


def test_a_mark_is_there_from_the_start_and_one_of_another_drill_is_refused(folder, monkeypatch):
    assert broken_off(monkeypatch).status == 130
    told = json.loads((folder / "mark.json").read_text())
    assert (told["kind"], told["work"]) == ("fault-drill-bookmark", {"outcomes": []})
    other = "mark.json: was made by a drill of something else; expected another name\n"
    ran = broken_off(monkeypatch, "--harmless", "number")
    assert (ran.status, ran.out, ran.err) == (2, "", other)
    terse = (folder / "terse.toml").read_text()
    (folder / "terse.toml").write_text(terse.replace('draw = "D"', 'draw = "E"'))
    assert broken_off(monkeypatch).err == other
    (folder / "terse.toml").write_text(terse)
    assert broken_off(monkeypatch).status == 130
    (folder / "mark.json").write_text(json.dumps({**told, "work": {"outcomes": [[5, True, False, []]]}}))
    assert broken_off(monkeypatch).err == "mark.json: is damaged; expected a mark of a drill\n"


def test_what_was_kept_comes_back_as_it_was(tmp_path):
    shown = drilling.Shown(7, drilling.Reply((1, 2), "waiting for input"))
    outcomes = [
        drilling.Outcome("loses a game", (shown,), True, False),
        drilling.Outcome("stops", (), False, True),
    ]
    mark = FaultMark(str(tmp_path / "mark"), "request")
    mark.keep(outcomes)
    assert mark.taken_up(2) == outcomes
    assert FaultMark(str(tmp_path / "none"), "request").taken_up(2) == []
