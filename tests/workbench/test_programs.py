"""The commands `assemble` and `run`."""

import json
from pathlib import Path

import pytest

from tests.workbench.running import wordtight

ADDER = """\
start:  input
        store x
        input
        add x
        output
        halt
x:      space 1
"""


@pytest.fixture(autouse=True)
def in_an_empty_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("adder.orders").write_text(ADDER, encoding="utf-8")
    Path("round.orders").write_text("on: jump on\n", encoding="utf-8")
    Path("lost.orders").write_text("back\n", encoding="utf-8")


def as_json(*arguments):
    ran = wordtight(*arguments, "--json")
    assert ran.err == ""
    return ran.status, json.loads(ran.out)


def test_the_listing():
    ran = wordtight("assemble", "adder.orders", "--machine", "delay-line")
    assert (ran.status, ran.err) == (0, "")
    assert "000  000002           2     1  start:  input\n" in ran.out
    assert "006  (1)                    7  x:      space 1\n" in ran.out
    assert "7 words of the 512 of delay-line: 6 instructions, 1 space." in ran.out


def test_the_listing_for_machines():
    status, told = as_json("assemble", "adder.orders", "--machine", "home-1k")
    assert status == 0
    assert set(told) == {"file", "machine", "base", "start", "words", "labels", "rows"}
    assert told["words"] == {"total": 9, "instructions": 8, "constants": 0, "data": 0, "space": 1}
    assert set(told["rows"][0]) == {"address", "half", "words", "left", "sum", "line", "kind", "text"}


def test_mistakes_of_a_program():
    Path("bad.orders").write_text("laod 3\njump nowhere\n", encoding="utf-8")
    for command in ("assemble", "run"):
        ran = wordtight(command, "bad.orders", "--machine", "twelve-bit")
        assert (ran.status, ran.out) == (2, "")
        assert ran.err.startswith(
            "bad.orders:1:1: there is no order 'laod'; did you mean 'load'?\n    laod 3\n"
        )
    assert wordtight("check", "bad.orders").status == 2
    ran = wordtight("run", "xyz.orders", "--machine", "twelve-bit")
    assert (ran.status, ran.out) == (2, "")
    assert ran.err.startswith("xyz.orders: cannot be read: there is no such file")


def test_a_run():
    status, told = as_json("run", "adder.orders", "--machine", "twelve-bit", "--input", "0!")
    assert status == 0
    assert (told["status"], told["fault"], told["printed"]) == ("halted", None, "Q")
    assert (told["instructions"], told["cycles"], told["codes_out"]) == (6, 11, [17])
    assert told["seconds"] == {"thinking": 1.65e-05, "reading": 0.2, "printing": 0.1}
    assert (told["words_touched"], told["words_written"]) == (1, 1)
    assert "trace" not in told


def test_status_of_a_run():
    assert as_json("run", "adder.orders", "--machine", "twelve-bit", "--input", "3")[0] == 0
    status, told = as_json("run", "round.orders", "--machine", "twelve-bit", "--limit", "50")
    assert (status, told["status"], told["instructions"]) == (3, "limit reached", 50)
    status, told = as_json("run", "lost.orders", "--machine", "twelve-bit")
    assert (status, told["status"], told["fault"]) == (1, "fault", "no link")
    out = wordtight("run", "lost.orders", "--machine", "twelve-bit").out
    assert "Fault at 0: no link, after 0 instructions." in out


def test_what_nobody_can_type():
    ran = wordtight("run", "adder.orders", "--machine", "twelve-bit", "--input", "@")
    assert (ran.status, ran.out) == (2, "")
    assert "has no '@', so nobody can type it on 'twelve-bit'" in ran.err


def test_return_is_typed_as_backslash_n():
    told = as_json("run", "adder.orders", "--machine", "home-1k", "--input", "\\n5")[1]
    assert told["codes_out"] == [13 + 53]


@pytest.mark.parametrize("trace", [[], ["table"], ["blank"], ["bits"]])
def test_traces(trace):
    ran = wordtight("run", "adder.orders", "--machine", "relay-256", "--input", "AE", "--trace", *trace)
    assert (ran.status, ran.err) == (0, "")
    assert all(len(line) <= 80 for line in ran.out.split("\n"))
    assert ("store x" in ran.out) == (trace != ["blank"])
    assert ("clock  first  second" in ran.out) == (trace == ["bits"])
    assert ("It prints" in ran.out) == (trace != ["blank"])


def test_a_trace_that_is_long_is_cut():
    ran = wordtight("run", "round.orders", "--machine", "twelve-bit", "--trace", "--limit", "1500")
    assert "The trace is cut after 1,000 of 1,500 instructions." in " ".join(ran.out.split())
    assert ran.status == 3


def test_a_trace_for_machines():
    told = as_json("run", "adder.orders", "--machine", "relay-256", "--input", "AE", "--trace")[1]
    assert told["trace"]["titles"] == ["step", "at", "instruction", "A", "x", "input", "output"]
    assert len(told["trace"]["rows"]) == told["instructions"]
