"""The command `tighten`: what it says, what it writes, and how it ends."""

import json
import re
import subprocess
import sys

import pytest

from budget.closing import Unfinished
from solver.load import load_strategy
from solver.proof import PROVED, prove
from tests.workbench.processes import environment, posix_only
from tests.workbench.running import wordtight
from workbench.tightening import chosen, sized

CORNER = "game: two-by-two\nseat: first\ncomplete a line\ntake a corner\n"
ON_A_MACHINE = "tighten", "two-by-two", "--seat", "first", "--machine", "twelve-bit", "--json"
TWO = "game: noughts-and-crosses\nseat: second\ncomplete a line\nblock a line\n"
INTERRUPTED_BY_ITSELF = """
import runpy, signal
signal.signal(signal.SIGVTALRM, signal.default_int_handler)
signal.setitimer(signal.ITIMER_VIRTUAL, 3.0)
runpy.run_module("workbench", run_name="__main__", alter_sys=True)
"""
"""Ctrl-C after so many seconds of its own work, however busy the machine is."""
SIDES = "game: noughts-and-crosses\nseat: second\ntake any free cell\n"


@pytest.fixture(autouse=True)
def a_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "two.rules").write_text(TWO, encoding="utf-8")
    (tmp_path / "bad.rules").write_text(SIDES, encoding="utf-8")
    return tmp_path


def verdict(file):
    written = load_strategy(file)
    return prove(written.strategy(written.seats[0]), written.claim, written.house).verdict


def test_the_least_table_is_written_and_proved():
    ran = wordtight("tighten", "noughts-and-crosses", "--seat", "second", "-o", "least.csv")
    assert ran.status == 0
    assert "71 answers must be stored" in ran.out
    assert "PROVED LEAST: no strategy does with fewer than 71." in ran.out
    assert verdict("least.csv") == PROVED


def test_figures_for_machines():
    ran = wordtight("tighten", "noughts-and-crosses", "--seat", "first", "--claim", "best-value", "--json")
    record = json.loads(ran.out)
    assert (record["answers"], record["bound"], record["proved_least"]) == (22, 22, True)
    assert {"pictures", "weights", "words"} <= set(record)
    assert record["without_house_rules"] is None


def test_house_rules_that_cost_a_turn_cost_answers():
    ran = wordtight(
        "tighten", "noughts-and-crosses", "--seat", "first", "--house-rules", "lost-turn", "--json"
    )
    record = json.loads(ran.out)
    assert record["answers"] == 37
    assert record["without_house_rules"]["answers"] == 22


@pytest.mark.long
def test_house_rules_that_cost_a_turn_cost_words(a_folder):
    """As many as the difference from house rules that say the same and charge nothing."""
    rule = '[[rule]]\nwhen = [{}]\nsay = "{}"\n'
    wrong = '"taken-by-machine", "taken-by-visitor", "off-board"'
    free = 'kind = "house-rules"\n' + rule.format(wrong, "YOU LOSE YOUR TURN") + rule.format('"any"', "AGAIN")
    (a_folder / "free.toml").write_text(free, encoding="utf-8")
    charged = free.replace('TURN"\n', 'TURN"\ncost = "turn"\n')
    (a_folder / "charged.toml").write_text(charged, encoding="utf-8")
    form = "--encoding", "dense", "--fixed-board"
    charged = json.loads(wordtight(*ON_A_MACHINE, *form, "--house-rules", "charged.toml").out)
    free = json.loads(wordtight(*ON_A_MACHINE, *form, "--house-rules", "free.toml").out)
    without = charged["without_house_rules"]
    assert (without["answers"], without["words"]) == (free["answers"], free["words"])
    assert charged["house_rule_words"] == charged["words"] - free["words"]
    assert charged["answers"] > free["answers"]
    assert free["without_house_rules"] is None


def test_what_house_rules_cost_is_told_of_every_kind():
    asked = "tighten", "two-by-two", "--seat", "first", "--house-rules", "lost-turn", "--least"
    told = {
        kind: " ".join(wordtight(*asked, kind).out.split()) for kind in ("answers", "pictures", "weights")
    }
    assert "3 answers would do: these house rules cost 1 answer." in told["answers"]
    assert "1 picture would do" in told["pictures"]
    assert "If wrong input cost nothing, the largest would be 0." in told["weights"]


@pytest.mark.parametrize(
    "first", [("--seat", "first"), ("--rules-first", "first.rules")], ids=["none", "sheet"]
)
@pytest.mark.parametrize(("board", "choice"), [((), "turned"), (("--fixed-board",), "plain")])
def test_pictures_whose_choice_is_settled(a_folder, first, board, choice):
    (a_folder / "first.rules").write_text(CORNER.replace("take a corner\n", ""), encoding="utf-8")
    asked = "tighten", "two-by-two", *first, "--least", "pictures", *board, "--fixed-choice"
    ran = wordtight(*asked, "-o", "settled.rules", "--evidence", "settled.evidence")
    assert ran.status == 0
    assert f"(choice: {choice})" in " ".join(ran.out.split())
    assert f"choice: {choice}\n" in (a_folder / "settled.rules").read_text("utf-8")
    assert verdict("settled.rules") == PROVED
    assert "\nPROVED. " in wordtight("check-evidence", "settled.evidence").out
    assert json.loads(wordtight(*asked, "--json").out)["choice"] == choice
    assert json.loads(wordtight(*asked[:-1], "--json").out)["choice"] == "open"


def test_what_was_found_is_kept_where_its_program_has_too_many_states(monkeypatch):
    def endless(form, card):
        raise Unfinished("it can wait in more than 5 states")

    monkeypatch.setattr(sized, "total_words", lambda form, card: 100)
    monkeypatch.setattr(sized, "built", endless)
    ran = wordtight(*ON_A_MACHINE)
    record = json.loads(ran.out)
    assert (ran.status, record["answers"], record["words"]) == (0, 3, None)
    assert record["no_words_because"] == "it can wait in more than 5 states"
    assert "no words are told: it can wait" in wordtight(*ON_A_MACHINE[:-1]).out


@pytest.mark.long
def test_rules_that_save_answers_cost_words(a_folder):
    (a_folder / "corner.rules").write_text(CORNER, encoding="utf-8")
    asked = "tighten", "two-by-two", "--choose-rules", "corner.rules", "--machine", "twelve-bit"
    record = json.loads(wordtight(*asked, "--json").out)
    none, corner = record["tradeoffs"]
    assert (none["rules"], none["answers"]) == ([], 3)
    assert (corner["rules"], corner["answers"]) == (["take a corner"], 0)
    assert none["rule_words"] < corner["rule_words"] == corner["words"] < none["words"]
    assert (record["choices"], record["complete"]) == (5, True)


def test_words_of_rules_are_told_beside_the_answers(a_folder, monkeypatch):
    monkeypatch.setattr(chosen, "words_of_rules", lambda tried, card: 200 + 10 * len(tried.rules))
    monkeypatch.setattr(chosen, "program_of", lambda tried, card: None)
    (a_folder / "corner.rules").write_text(CORNER, encoding="utf-8")
    told = wordtight("tighten", "two-by-two", "--choose-rules", "corner.rules", "--machine", "twelve-bit").out
    assert re.search(
        r"rule words +answers +all words +which\n[- ]+\n +200 +3 +- +\(none\)\n +210 +0 +-", told
    )
    assert "all 4 ordered choices worth trying were gone" in told


def test_a_sheet_that_answers_first_is_written_with_its_table():
    ran = wordtight("tighten", "noughts-and-crosses", "--rules-first", "two.rules", "-o", "both.rules")
    assert ran.status == 0
    assert "13 answers must be stored" in ran.out
    assert verdict("both.rules") == PROVED


def test_which_rules_save_the_most():
    ran = wordtight(
        "tighten", "noughts-and-crosses", "--choose-rules", "two.rules", "-o", "chosen.rules", "--json"
    )
    record = json.loads(ran.out)
    assert [(len(each["rules"]), each["answers"]) for each in record["tradeoffs"]] == [
        (0, 71),
        (1, 37),
        (2, 13),
    ]
    assert record["complete"]
    assert verdict("chosen.rules") == PROVED


@pytest.mark.parametrize(
    "options",
    [
        "--seat first --claim quickest --house-rules lost-turn",
        "--seat first --least weights",
        "--rules-first corner.rules --fixed-choice --least pictures",
        "--choose-rules corner.rules --fixed-board",
    ],
)
def test_the_next_command_writes_down_what_was_found(a_folder, options):
    (a_folder / "corner.rules").write_text(CORNER.replace("take a corner\n", ""), encoding="utf-8")
    told = wordtight("tighten", "two-by-two", *options.split()).out
    following = told.partition("Next: wordtight ")[2].partition("  (")[0].split("\n")[0].split()
    assert {*options.split()} < {*following}
    assert wordtight(*following).status == 0
    assert verdict(following[-1]) == PROVED


@pytest.mark.parametrize(
    ("options", "status", "says"),
    [
        (("hexapawn", "--seat", "first"), 1, "THIS SEAT IS LOST"),
        (("noughts-and-crosses", "--rules-first", "bad.rules"), 1, "GIVE IT AWAY"),
        (("noughts-and-crosses",), 2, "expected --seat first or --seat second"),
        (("noughts-and-crosses", "--rules-first", "two.rules", "-o", "x.csv"), 2, "does not end in .csv"),
        (("noughts-and-crosses", "--seat", "first", "-o", "two.rules"), 2, "is there already"),
        (
            ("noughts-and-crosses", "--rules-first", "two.rules", "--choose-rules", "two.rules"),
            2,
            "stands alone",
        ),
        (("kayles", "--seat", "first", "--least", "pictures"), 2, "expected a game of marks and lines"),
        (
            ("noughts-and-crosses", "--rules-first", "two.rules", "--fixed-choice", "--least", "weights"),
            2,
            "two.rules: has its choices settled",
        ),
        (("boxes-two-by-two", "--seat", "first"), 2, "expected --claim best-value"),
        (
            ("noughts-and-crosses", "--seat", "first", "--fixed-choice"),
            2,
            "expected --rules-first SHEET or --least pictures",
        ),
    ],
)
def test_how_else_it_ends(options, status, says):
    ran = wordtight("tighten", *options)
    assert (ran.status, says in ran.out + ran.err) == (status, True)
    assert "Traceback" not in ran.err


def test_a_gap_is_named_when_time_runs_out():
    ran = wordtight("tighten", "two-rows", "--seat", "first", "--time", "2")
    assert ran.status == 3
    assert "BETWEEN" in ran.out or "Time ran out before any strategy was found" in ran.err


@posix_only
def test_an_interruption_keeps_the_best_so_far(a_folder):
    """What has been found is written and proved, whatever the search was at after so much work."""
    asked = ["noughts-and-crosses", "--seat", "first", "--fixed-board", "-o", "kept.csv"]
    ran = subprocess.run(
        [sys.executable, "-c", INTERRUPTED_BY_ITSELF, "tighten", *asked],
        env=environment(),
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=300,
    )
    assert "Traceback" not in ran.stderr
    assert ran.returncode in (0, 130)
    if (a_folder / "kept.csv").exists():
        assert verdict("kept.csv") == PROVED
    else:
        assert re.search("Time ran out before any strategy was found|^interrupted$", ran.stderr, re.M)


def test_json_is_alone_on_standard_output():
    """HiGHS greets on standard output in some versions; nobody may hear of it."""
    command = [sys.executable, "-m", "workbench", "tighten", "two-by-two", "--seat", "first", "--json"]
    ran = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", check=True)
    assert json.loads(ran.stdout)["answers"] == 3
