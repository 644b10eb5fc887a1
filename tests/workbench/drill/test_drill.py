"""The drill of an outside program, on games that are over soon."""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest

from tests.workbench.drill.bank import GAME, PROGRAMS, causes, drilled, open_folder, placed, written
from tests.workbench.processes import posix_only
from tests.workbench.running import wordtight
from workbench.drill.faults import CLAIM_FAILS, PLAY
from workbench.drill.sandbox import Limits

pytestmark = posix_only

TWO_BY_TWO = """
import sys
NAMES, LOSES, REPEATS = ["a1", "b1", "a2", "b2"], "loses" in sys.argv, "repeats" in sys.argv
while True:
    free = NAMES[:]
    print("I PLAY A1"); free.remove("a1")
    while True:
        print("YOUR MOVE ", end="", flush=True)
        text = input().lower()
        if len(text) > 8 or not text: print("AGAIN")
        elif text in free: break
        elif text in NAMES: print("TAKEN. AGAIN")
        elif len(text) > 1 and text[0].isalpha() and text[1:].isdigit(): print("NO SUCH CELL. AGAIN")
        else: print("AGAIN")
    free.remove(text)
    print("I PLAY", free[0].upper()); print("I WIN"); input(); print("GAME OVER")
"""
"""The machine moves first on 2 x 2, where any two marks are a line, and always wins."""


@pytest.fixture(scope="module")
def folder():
    with open_folder() as made:
        yield made


@pytest.fixture(scope="module")
def right(folder):
    return written(TWO_BY_TWO, folder)


@pytest.fixture(autouse=True)
def patient(monkeypatch):
    """Answers have twenty seconds unless told, since the machine may be busy."""
    _, *others = Limits._field_defaults.values()
    monkeypatch.setattr(Limits.__new__, "__defaults__", (20_000, *others))


def drill_it(*arguments):
    return wordtight("drill", *arguments)


def test_a_right_program_passes_with_two_wrong_inputs_in_a_line(right):
    found = drilled([right], game="two-by-two", claim="quickest", wrong=2)
    assert found.verdict == "no-fault-found"
    assert [each.wrong for each in found.rounds] == [0, 1, 2]
    assert all(each.is_whole for each in found.rounds)
    assert (found.finals, found.all_finals) == (3, 12)  # 4 x 3 x 2 boards with two against one, 12 as sets
    assert (found.starts, found.ends_by_itself, found.learned) == (2, False, ())
    assert [each.due for each in found.rounds] == [
        0,
        0,
        found.rounds[2].lines,
    ]  # counted before they are keyed in


def test_every_line_is_gone_through_and_none_twice_over(folder):
    """The drill's branches and final boards are those that a plain recursion over the program's own rules finds."""
    source = (PROGRAMS / "oxo.py").read_text(encoding="utf-8").partition("\nwhile True:\n    game()")[0]
    learner = {"__name__": "learner"}
    exec(compile(source.replace("sys.argv", "[]"), "oxo.py", "exec"), learner)
    inputs, finals = every_line(learner, [" "] * 9)
    found = drilled([placed("oxo.py", folder)])
    assert found.verdict == "no-fault-found"
    [only] = found.rounds
    assert (only.branches, found.finals) == (inputs, len(finals))


def every_line(learner, board):
    """How many inputs there are after different beginnings, the one after the end too; and the final boards."""
    board = board[:]
    board[learner["my_move"](board, False)] = "X"
    if learner["has_won"](board, "X") or " " not in board:
        return 1, {"".join(board)}
    inputs, finals = 0, set()
    for cell in (cell for cell in range(9) if board[cell] == " "):
        after = board[:]
        after[cell] = "O"
        below = (1, {"".join(after)}) if learner["has_won"](after, "O") else every_line(learner, after)
        inputs, finals = inputs + 1 + below[0], finals | below[1]
    return inputs, finals


def test_the_report_is_one_json_object_and_junit_is_written(right, tmp_path):
    report = tmp_path / "report.xml"
    ran = drill_it(
        right, "--game", "two-by-two", "--seat", "first", "--wrong", 1, "--json", "--junit", report
    )
    assert (ran.status, ran.err) == (0, "")
    record = json.loads(ran.out)
    assert record["verdict"] == "no-fault-found"
    assert record["batteries"] == {"play": [], "wrong-input": [], "verdicts": [], "conduct": []}
    suite = ET.parse(report).getroot()
    assert (suite.get("tests"), suite.get("failures")) == ("4", "0")
    assert drill_it(right, "--game", "two-by-two", "--seat", "first", "--junit", report).status == 2


def test_a_losing_program_is_shown_with_its_shortest_line_and_first_losing_decision(folder, tmp_path):
    oxo, report = placed("oxo.py", folder), tmp_path / "report.xml"
    ran = drill_it(
        oxo, "never-stops", "--game", GAME, "--seat", "first", "--wrong", 0, "--json", "--junit", report
    )
    assert ran.status == 1
    [fault] = json.loads(ran.out)["batteries"][PLAY]
    assert fault["cause"] == CLAIM_FAILS
    assert len(fault["keyed_in"]) == 3
    assert fault["printed"][-1][0] == "YOU WIN"
    assert fault["decision"] in (3, 5)
    [failure] = ET.parse(report).getroot().iter("failure")
    assert "the visitor wins" in failure.get("message")
    told = drill_it(oxo, "never-stops", "--game", GAME, "--seat", "first", "--wrong", 0).out
    assert "FAULT FOUND. 1 cause" in told
    assert "is the first losing decision: the machine plays" in told
    assert all(len(line) <= 80 for line in told.split("\n") if not line.startswith("Next:"))


def test_a_seat_that_is_lost_is_said_before_the_program_is_blamed(folder):
    loser = (
        "print('YOUR MOVE ', end='', flush=True)\ninput()\nprint('I PLAY B2')\nprint('YOUR MOVE')\ninput()"
    )
    ran = drill_it(
        written(loser, folder, "lost.py"), "--game", "two-by-two", "--seat", "second", "--wrong", 0
    )
    assert ran.status == 1
    assert "THIS SEAT IS LOST FROM THE START" in ran.out


def test_where_time_is_short_games_are_played_at_random_and_that_is_said(right):
    ran = drill_it(right, "--game", "two-by-two", "--seat", "first", "--time", 0, "--games", 40, "--json")
    assert ran.status == 3
    record = json.loads(ran.out)
    assert (record["verdict"], record["sampled"]["games"], record["sampled"]["faulty"]) == ("sampled", 40, 0)
    assert record["sampled"]["bound"] == pytest.approx(1 - 0.05 ** (1 / 40))
    told = drill_it(right, "--game", "two-by-two", "--seat", "first", "--time", 0, "--games", 40).out
    assert "SAMPLED: no fault in 40 games at random, which is no proof." in told


def test_where_time_is_short_it_is_said_how_much_is_left(right):
    begun = []
    found = drilled(
        [right],
        game="two-by-two",
        wrong=2,
        enough=lambda ledger: bool(begun),
        report=lambda told: begun.append(told) if "2" in told.stage.name else None,
    )
    assert (found.verdict, found.rounds[2].is_whole) == ("not-finished", False)
    assert found.left > 0
    assert 0 < found.rounds[2].lines < found.rounds[2].due


def test_rehearsal_shows_how_each_line_was_understood(right):
    ran = drill_it(right, "--game", "two-by-two", "--seat", "first", "--rehearse")
    assert ran.status == 0
    assert "the machine plays a1" in ran.out
    assert "--> ? (not understood)" in ran.out
    assert "One game was understood from beginning to end" in ran.out
    record = json.loads(
        drill_it(right, "--game", "two-by-two", "--seat", "first", "--rehearse", "--json").out
    )
    assert record["understood"] is True
    assert record["steps"][0]["printed"][0] == {"line": "I PLAY A1", "meaning": "the machine plays a1"}


OTHER_WORDS = """
while True:
    print("Welcome! I shall play a1.")
    taken = ["a1"]
    while True:
        text = input("Where do you want to go? ").lower()
        if text not in ("b1", "a2", "b2"): print("Sorry, no.")
        else: break
    print(f"You went to {text}")
    print("My move is", "b1" if text != "b1" else "a2")
    print("The computer wins, hooray")
    input("Again? Press Return. ")
    print("Here we go again")
"""


def test_ordinary_output_is_understood_without_a_file(folder):
    program = written(OTHER_WORDS, folder, "other.py")
    found = drilled([program], game="two-by-two")
    assert found.verdict == "no-fault-found"
    assert found.learned == ("WHERE DO YOU WANT TO GO?", "AGAIN? PRESS RETURN.")


ONE_BREATH = """
import sys, time
def say(text): print(text, flush=True)
def think():
    until = time.process_time() + 0.05
    while time.process_time() < until: pass
while True:
    free = ["b1", "a2", "b2"]
    say("I PLAY A1")
    while True:
        text = input().lower()
        if text in free: break
        say("TAKEN. AGAIN" if text == "a1" else "AGAIN")
    free.remove(text)
    say(f"I PLAY {free[0].upper()}")
    think()
    say("I WIN")
    input()
    say("GAME OVER")
"""
"""It asks for nothing: its first move is the last that it says before it waits, and later it says more behind one."""


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="no system tells whether a program sleeps")
def test_a_line_that_was_once_the_last_may_be_followed_by_another(folder):
    found = drilled([written(ONE_BREATH, folder, "breath.py")], game="two-by-two")
    assert [fault.detail for fault in found.faults] == []
    assert found.learned == ("I PLAY A#",)


def test_a_conversation_file_says_what_wrong_input_is_answered_with(folder, tmp_path):
    program, told = written(OTHER_WORDS, folder, "other.py"), tmp_path / "talk.toml"
    assert ("wrong-input", "wrong-message") in causes(drilled([program], game="two-by-two", wrong=1))
    told.write_text(
        'kind = "conversation"\nwaits = ["go?", "Press Return."]\n[answers]\nany = ["Sorry, no."]\n'
        'after-end = ["Here we go again"]\n',
        encoding="utf-8",
    )
    found = drilled([program], game="two-by-two", wrong=1, conversation=str(told))
    assert (found.verdict, found.learned) == ("no-fault-found", ())


def test_a_program_that_ends_after_a_game_is_started_for_every_line(folder):
    once = written(TWO_BY_TWO.replace("while True:\n    free", "if True:\n    free"), folder, "once.py")
    found = drilled([once], game="two-by-two")
    assert [fault.detail for fault in found.faults] == []
    assert (found.verdict, found.ends_by_itself) == ("no-fault-found", True)
    assert found.starts == found.rounds[0].lines


def test_a_program_that_never_begins_is_no_endless_drill(folder):
    found = drilled([written("raise SystemExit(4)", folder, "ends.py")], game="two-by-two")
    assert causes(found) == {("conduct", "stopped")}
    assert found.faults[0].detail == "at the start it ends with status 4"


TERSE = """
import sys
def say(text): print(text, end="", flush=True)
heap, begun = 4, True
while True:
    heap = 4
    while heap:
        key = sys.stdin.read(1)
        if key not in ("1", "2", "3") or int(key) > heap:
            say("?")
            continue
        heap -= int(key)
        if heap:
            say(str(heap))
            heap = 0
            say("W")
        else:
            say("L")
"""
"""One heap of four, of which one, two or three may be taken: the machine moves second and always wins."""


def test_keys_close_printing_and_games_that_begin_at_once(folder, tmp_path):
    (tmp_path / "heap.toml").write_text(
        'kind = "game"\nfamily = "take"\nplay = "heaps"\ntitle = "Four"\nheaps = [4]\ntake = [1, 2, 3]\n'
    )
    (tmp_path / "terse.toml").write_text(
        'kind = "house-rules"\ninput = "key"\nprint = "close"\nnext-game = "at-once"\n[messages]\nask = ""\n'
        'machine-moves = ""\nmachine-wins = "W"\nvisitor-wins = "L"\n[[rule]]\nwhen = ["any"]\nsay = "?"\n'
    )
    found = drilled(
        [written(TERSE, folder, "terse.py")],
        game=str(tmp_path / "heap.toml"),
        seat="second",
        house=str(tmp_path / "terse.toml"),
        claim="quickest",
        wrong=2,
        patience=2000,  # so long it takes to see that nothing is printed at the start
    )
    assert found.faults == ()
    assert (found.verdict, found.learned) == ("no-fault-found", ())


def test_a_mark_of_another_drill_or_a_damaged_one_is_refused(right, tmp_path):
    mark = tmp_path / "mark.json"
    arguments = [right, "--game", "two-by-two", "--seat", "first", "--resume", mark]
    assert drill_it(*arguments, "--time", 0, "--games", 0).status == 3
    assert "drill of something else" in drill_it(*arguments, "--claim", "quickest").err
    mark.write_text("{}", encoding="utf-8")
    assert drill_it(*arguments).err == f"{mark}: is damaged; expected a mark of a drill\n"
    mark.unlink()
    assert drill_it(*arguments, "--wrong", 0).status == 0
    assert not mark.exists()
