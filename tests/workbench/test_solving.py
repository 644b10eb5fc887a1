"""`solve` says what memory it takes, keeps to what it may use, and loses no work to an interruption."""

import json
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.workbench.processes import environment, posix_only
from tests.workbench.running import wordtight

FOUR = "four-by-four"
TAKES = "this takes 24 MB of memory; {} MB may be used"


@pytest.fixture(autouse=True)
def in_a_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("WORDTIGHT_CACHE", str(tmp_path / "kept"))


def measured(ran):
    return json.loads(ran.out)["measured"]


# Memory -----------------------------------------------------------------------------------------------------


def test_what_a_larger_game_takes_is_said_before_it_is_solved():
    ran = wordtight("solve", FOUR, "--json")
    assert (ran.status, ran.err) == (0, TAKES.format("2,048") + "\n")
    assert measured(ran)["planned_mb"] == 24
    assert wordtight("solve", FOUR).err == ran.err


def test_of_a_small_game_it_stands_in_the_figures_alone():
    ran = wordtight("solve", "noughts-and-crosses", "--json")
    assert (ran.status, ran.err) == (0, "")
    assert measured(ran)["planned_mb"] == 2
    assert wordtight("solve", "noughts-and-crosses").err == ""


def test_what_takes_too_much_is_refused_with_the_figure():
    ran = wordtight("solve", FOUR, "--memory", "23", "--json")
    assert (ran.status, ran.out) == (3, "")
    assert ran.err == "no full answer: this takes 24 MB of memory; no more than 23 MB may be used\n"


def test_where_positions_must_be_counted_first_counting_stops_when_there_are_too_many():
    ran = wordtight("solve", "domineering-five", "--memory", "20")
    assert (ran.status, ran.out) == (3, "")
    assert ran.err.startswith("no full answer: this takes at least 24 MB of memory, for ")
    assert ran.err.endswith(" positions that were met before stopping; no more than 20 MB may be used\n")


def test_results_that_are_held_count_as_well():
    """Under house rules the fair game is solved first and stays."""
    alone = measured(wordtight("solve", "boxes-two-by-two", "--json", "--no-counts"))["planned_mb"]
    housed = (
        "solve",
        "boxes-three-by-two",
        "--house-rules",
        "lost-turn",
        "--no-cache",
        "--no-counts",
        "--json",
    )
    both = measured(wordtight(*housed))["planned_mb"]
    assert both > alone
    assert wordtight(*housed, "--memory", str(both)).status == 0
    assert wordtight(*housed, "--memory", str(both - 1)).status == 3


def test_without_memory_for_counts_all_the_rest_is_said():
    ran = wordtight("solve", FOUR, "--counts", "--memory", "50", "--json")
    assert ran.status == 3
    assert json.loads(ran.out)["value"] == "draw"
    assert "by_ply" not in json.loads(ran.out)
    assert ran.err.splitlines() == [
        TAKES.format(50),
        "no full answer: this takes 130 MB of memory; no more than 50 MB may be used",
    ]


def test_a_kept_result_takes_no_planning(monkeypatch):
    monkeypatch.setattr("solver.kept.WORTH_KEEPING", 0.0)
    for name in ("three-mens-morris-centre-barred", "boxes-two-by-two"):
        new, kept = (wordtight("solve", name, "--json", "--no-counts") for _ in range(2))
        assert measured(new)["planned_mb"] in (1, 2)
        assert measured(kept)["planned_mb"] is None
        assert json.loads(new.out)["value"] == json.loads(kept.out)["value"]


# Interruptions ----------------------------------------------------------------------------------------------

COUNTED = '''\
"""Take one or two from a heap; every time that moves are asked for a mark is made in a file."""

import os
from pathlib import Path

import numpy as np

LENGTH = 60
bits = 10
start = LENGTH
move_names = ("one", "two")


def mover(codes):
    return codes >> 63


def left(codes):
    return codes & 1023


def ending(codes):
    return np.where(left(codes) == 0, 2 - mover(codes), 0)


def moves(codes):
    with Path("asked").open("a") as marks:
        marks.write("x")
        marks.flush()
        if marks.tell() == int(os.environ.get("STOP_AT", 0)):
            os.kill(os.getpid(), int(os.environ["STOP_BY"]))
    heap, place = left(codes), np.arange(len(codes))
    turned = codes & np.uint64(1 << 63) ^ np.uint64(1 << 63)
    two = np.flatnonzero(heap > 1)
    parent = np.concatenate([place, two])
    move = np.concatenate([np.zeros(len(place), int), np.ones(len(two), int)])
    child = np.concatenate([turned | heap - 1, turned[two] | heap[two] - 2])
    return parent, move, child
'''
NONE_TO_SPARE = """
import runpy, signal, sys
import solver.journal
solver.journal.WAIT = solver.journal.AGAIN = solver.journal.MOST_SHARE = 0.0
signal.signal(signal.SIGINT, signal.default_int_handler)
runpy.run_module("workbench", run_name="__main__", alter_sys=True)
"""


def write_game(extra=""):
    Path("heap.py").write_text(COUNTED + extra, encoding="utf-8")


def solved(*options, **changes):
    """Solve the game in a process of its own; how it ended, and how often moves were asked for."""
    Path("asked").write_text("")
    command = [sys.executable, "-c", NONE_TO_SPARE, "solve", "heap.py", "--json", "--no-counts", *options]
    ran = subprocess.run(
        command, env=environment(**changes), capture_output=True, encoding="utf-8", check=False
    )
    return ran, len(Path("asked").read_text())


def pieces():
    return sorted(Path("kept").glob("*.part/*.piece"))


@posix_only
@pytest.mark.parametrize("promise", ["", "can_repeat = False\n"])
@pytest.mark.parametrize("by", [signal.SIGINT, signal.SIGKILL])
def test_an_interrupted_run_is_taken_up_again(promise, by):
    write_game(promise)
    whole, takes = solved("--no-cache")
    stopped, at = solved(STOP_AT=str(takes - 5), STOP_BY=str(int(by)))
    assert at == takes - 5
    assert stopped.returncode == (130 if by == signal.SIGINT else -by)
    if by == signal.SIGINT:
        how = "what is done so far is kept: the same command with --resume goes on from there"
        assert stopped.stderr.split("\n")[0] == how
    resumed, again = solved("--resume")
    assert (resumed.returncode, resumed.stderr) == (0, "going on from an interrupted run\n")
    assert again <= takes - 25, "most are asked for by the first look at every file, but not all"
    wanted, found = json.loads(whole.stdout), json.loads(resumed.stdout)
    assert wanted.pop("measured")
    assert found.pop("measured")
    assert found == wanted
    assert not pieces()


def broken_off(monkeypatch):
    """A run in this process that breaks off; the game is a small one of the catalogue."""
    monkeypatch.setattr("solver.journal.WAIT", 0.0)

    def stop(*arguments):
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr("solver.layers._of_endings", stop)
        return wordtight("solve", "noughts-and-crosses")


def test_a_damaged_journal_is_told_in_one_line(monkeypatch):
    ran = broken_off(monkeypatch)
    assert ran.status == 130
    whole = wordtight("solve", "noughts-and-crosses").out
    broken_off(monkeypatch)
    pieces()[3].write_bytes(b"wordtight piece 1\n[]\n")
    ran = wordtight("solve", "noughts-and-crosses", "--resume")
    assert (ran.status, ran.out) == (0, whole)
    assert ran.err == "what an interrupted run had done is damaged and cannot be used: starting afresh\n"
    assert not pieces()


def test_without_anything_to_resume_that_is_said(monkeypatch):
    ran = wordtight("solve", "noughts-and-crosses", "--resume")
    assert (ran.status, ran.err) == (0, "nothing to resume: starting afresh\n")
    broken_off(monkeypatch)
    assert pieces()
    assert wordtight("solve", "noughts-and-crosses").err == ""
    assert not pieces()


def test_resuming_and_keeping_nothing_do_not_go_together():
    ran = wordtight("solve", "noughts-and-crosses", "--resume", "--no-cache")
    assert (ran.status, ran.out) == (2, "")
    assert "--no-cache keeps nothing" in ran.err


def test_a_program_that_was_changed_is_another_game(monkeypatch):
    write_game()
    monkeypatch.setattr("solver.journal.WAIT", 0.0)

    def stop(*arguments):
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr("solver.joined.Joined.work_back", stop)
        assert wordtight("solve", "heap.py").status == 130
    write_game("# changed\n")
    assert wordtight("solve", "heap.py", "--resume").err == "nothing to resume: starting afresh\n"
    write_game()
    assert wordtight("solve", "heap.py", "--resume").err == "going on from an interrupted run\n"


# A promise that is not kept -----------------------------------------------------------------------------------


@pytest.mark.parametrize("length", [5, 2000])
@pytest.mark.parametrize("house", [(), ("--house-rules", "usual")])
def test_a_game_that_goes_round_though_it_says_it_does_not_is_told_so(length, house):
    """A short one is found out before anything is done, a long one where it comes back."""
    Path("round.py").write_text(
        f'''\
"""A walk that goes back one step before its end."""

import numpy as np

bits = 20
start = 0
move_names = ("on",)
can_repeat = False


def mover(codes):
    return codes >> 63


def ending(codes):
    return np.zeros(len(codes), int)


def moves(codes):
    here, turned = codes & 0xFFFFF, codes & np.uint64(1 << 63) ^ np.uint64(1 << 63)
    there = np.where(here == {length}, {length} - 1, here + 1)
    return np.arange(len(codes)), np.zeros(len(codes), int), turned | there
''',
        encoding="utf-8",
    )
    ran = wordtight("solve", "round.py", *house)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("round.py:8")
    assert "can_repeat" in ran.err
    assert "is False, but" in ran.err
