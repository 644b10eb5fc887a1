"""`size` and `build` for a machine that a compiler reaches."""

import json
import subprocess

import pytest

from tests.workbench.running import wordtight

SHEET = "game: two-by-two\nseat: first\ncomplete a line\ntake any free cell\n"


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "sure.rules").write_text(SHEET)
    (tmp_path / "lost.rules").write_text(SHEET.replace("first", "second"))
    return tmp_path


def test_build_writes_a_program_that_any_compiler_takes(folder):
    ran = wordtight("build", "sure.rules", "--machine", "host", "-o", "out")
    assert (ran.status, ran.err) == (0, "")
    assert "SAYS WHAT IT SHOULD" in ran.out
    out = folder / "out"
    assert sorted(path.name for path in out.iterdir()) == ["sure.c", "sure.program", "target.c", "target.h"]
    flags = ["-std=c90", "-pedantic", "-Wall", "-Wextra", "-Werror", "-o", "again"]
    subprocess.run(["gcc", *flags, "sure.c", "target.c"], cwd=out, check=True)
    said = subprocess.run([out / "again"], input=b"b2\r", capture_output=True, check=True).stdout
    assert said.startswith(b"\r\nI PLAY A1\r\nYOUR MOVE \r\nI PLAY B1\r\nI WIN")


def test_size_tells_the_tools_own_figures():
    ran = wordtight("size", "sure.rules", "--machine", "host", "--encoding", "as-written", "--json")
    assert ran.status == 0
    told = json.loads(ran.out)
    [row] = [each for each in told["programs"] if each["reading"] == "plain"]
    parts = ("program_words", "table_words", "constant_words", "message_words", "workspace_words")
    assert sum(row[part] for part in parts) == row["total_words"] == told["total_words"]
    [other] = [each for each in told["programs"] if each["reading"] == "turned"]
    assert (other["total_words"], other["reason"]) == (
        None,
        "rules are written in C for boards as they stand only",
    )


def test_what_does_not_hold_is_not_built(folder):
    ran = wordtight("build", "lost.rules", "--machine", "host", "-o", "out")
    assert ran.status == 1
    assert "NOTHING IS WRITTEN" in ran.out
    assert not (folder / "out").exists()


@pytest.mark.parametrize("option", ["--check-sum", "--self-test", "--keep-verdicts"])
def test_options_of_programs_in_orders_are_refused(option):
    ran = wordtight("build", "sure.rules", "--machine", "host", "-o", "out", option)
    assert ran.status == 2
    assert "a compiled program has no check-sum" in ran.err
