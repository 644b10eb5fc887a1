"""`wordtight odds`: what is asked for, where the mean comes from, and what is said of it."""

import json

import pytest

from tests.workbench.running import wordtight
from workbench.stand.tell_odds import percent

DAY = ("--minutes-a-game", "6", "--games", "40", "--day-hours", "5")


def odds(*arguments):
    ran = wordtight("odds", *arguments)
    assert (ran.status, ran.err) == (0, "")
    assert all(len(line) <= 80 and line.isascii() for line in ran.out.split("\n"))
    return ran.out


def record(*arguments):
    return json.loads(odds(*arguments, "--json"))


def test_a_mean_that_is_given():
    told = odds("--mean-hours", "12", *DAY)
    assert "Mean time between failures: 12 running hours, as given." in told
    rows = [line.rsplit("  ", 1) for line in told.split("\n") if line.endswith(" %")]
    assert [(what.strip(), chance) for what, chance in rows] == [
        ("one game is finished", "99.2 %"),  # exp(-0.1 / 12)
        ("all 40 games are finished", "71.7 %"),  # exp(-4 / 12)
        ("no failure in 5 running hours", "65.9 %"),  # exp(-5 / 12)
    ]
    assert "none: 71.7 %, 1 or fewer: 95.6 %, 2 or\nfewer: 99.6 %." in told
    assert "All of them, begun again where they fail, take 4.02 h on average" in told


def test_json_says_the_same():
    told = record("--mean-hours", "12", *DAY, "--keeping-seconds", "20")
    assert told["mean_hours"] == {"estimate": 12, "low": None, "high": None}
    assert (told["failures"], told["running_hours"]) == (None, None)
    assert [each["estimate"] for each in told["chances"]] == [0.991701, 0.716531, 0.659241]
    assert told["broken_off_at_most"][0] == told["chances"][1]["estimate"]
    assert told["keeping"]["first_order_minutes"] == pytest.approx(21.9089)
    assert told["keeping"]["times_a_game"] == 0
    assert told["hours_of_all_games"] == 4.01671  # 40 games of 12 (exp(0.1 / 12) - 1)
    assert record("--mean-hours", "12", *DAY)["keeping"] is None


def test_a_record_gives_an_interval():
    told = record("--failures", "2", "--running-hours", "40", "--minutes-a-game", "90")
    assert told["mean_hours"]["estimate"] == 20
    one = told["chances"][0]
    assert one["low"] < one["estimate"] < one["high"]
    said = odds("--failures", "2", "--running-hours", "40", "--minutes-a-game", "90")
    assert "It lies between 5.54 and 165 hours, with 95 % confidence." in said
    assert "at worst  estimate  at best" in said


def test_a_record_without_a_failure_has_no_estimate():
    told = record("--failures", "0", "--running-hours", "40", "--minutes-a-game", "90")
    assert told["mean_hours"]["estimate"] is None
    assert told["chances"][0]["estimate"] is None
    assert told["chances"][0]["high"] == 1
    said = odds(
        "--failures", "0", "--running-hours", "40", "--minutes-a-game", "90", "--keeping-seconds", "9"
    )
    assert "no estimate from 0 failures in 40 hours. It is 10.8\nhours or more" in said
    assert "reckoned with the least mean that the record allows" in said


def test_keeping_in_a_long_game():
    said = odds("--mean-hours", "2", "--minutes-a-game", "90", "--keeping-seconds", "20")
    assert "In a game of 90 min that is 9 times" in said.replace("\n", " ")
    told = record("--mean-hours", "0.01", "--minutes-a-game", "9000", "--keeping-seconds", "300")
    assert told["keeping"]["minutes_of_a_game_without"] is None  # it would never be finished


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (
            ["--minutes-a-game", "6"],
            "expected one of --mean-hours, --failures with --running-hours, and --log",
        ),
        (["--mean-hours", "12", "--failures", "1", "--running-hours", "9"], "expected one of --mean-hours"),
        (["--mean-hours", "12"], "expected --minutes-a-game"),
        (["--failures", "2"], "--failures and --running-hours belong together"),
        (
            ["--mean-hours", "2", "--minutes-a-game", "6", "--reply-seconds", "3"],
            "goes with the games of a --log",
        ),
        (["--running-hours", "2"], "--failures and --running-hours belong together"),
        (["--mean-hours", "nan"], "'--mean-hours': expected a number from 0.01 to 1,000,000, not nan"),
        (["--mean-hours", "inf"], "expected a number from 0.01 to 1,000,000, not inf"),
        (["--mean-hours", "-3"], "expected a number from 0.01 to 1,000,000, not -3"),
        (["--mean-hours", "twelve"], "'twelve' is not a valid float"),
        (["--log", "none.jsonl"], "none.jsonl: cannot be read: there is no such file"),
    ],
)
def test_what_cannot_be_reckoned_is_told_in_one_line(arguments, said):
    ran = wordtight("odds", *arguments)
    assert (ran.status, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert said in ran.err


def test_the_help_says_that_the_figure_of_the_trade_has_no_source():
    said = " ".join(wordtight("odds", "--help").out.split())
    assert (
        "one failure in 12 running hours is a figure of the trade: common practice, without a source" in said
    )


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0.0, "0.0 %"),
        (1e-9, "under 0.1 %"),
        (0.5, "50.0 %"),
        (0.9999, "over 99.9 %"),
        (1.0, "100.0 %"),
        (None, "-"),
    ],
)
def test_what_is_nearly_sure_does_not_look_sure(chance, said):
    assert percent(chance) == said
