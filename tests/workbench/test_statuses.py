"""Exit statuses: what callers can rely on, also when there is no answer."""

import json

import pytest

from games.problems import BadInput, Problem
from solver.graph import TooLarge
from tests.workbench.running import wordtight
from workbench.commands import prove as prove_command

CHOMP = 'kind = "game"\nfamily = "fill"\nplay = "chomp"\ncolumns = 2\nrows = 2\n'
SHEET = "game: two-by-two\nseat: first\ntake any free cell\n"


@pytest.fixture(autouse=True)
def a_sheet(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "my.rules").write_text(SHEET, encoding="utf-8")
    (tmp_path / "seat.rules").write_text(SHEET.replace("first", "second"), encoding="utf-8")


@pytest.mark.parametrize("options", [(), ("--json",)])
@pytest.mark.parametrize(
    ("line", "status"),
    [
        ("prove my.rules", 0),
        ("prove seat.rules", 1),
        ("size my.rules --machine twelve-bit --encoding dense", 0),
        ("paper my.rules cutouts --force", 0),
        ("paper seat.rules cutouts", 1),
        ("paper my.rules notices", 2),
        ("size my.rules --machine small.toml", 1),
        ("prove none.rules", 2),
        ("check-evidence none.evidence", 2),
        ("tighten two-by-two --seat first --evidence new.evidence", 2),
        ("tighten two-by-two --seat first -o new.csv --evidence new.evidence", 0),
        ("drill none.py --game two-by-two --seat first --resume mark --evidence new.evidence", 2),
        ("prove my.rules --seat second", 2),
        ("check my.rules", 0),
        ("grade nowhere --game two-by-two --seat first", 2),
    ],
)
def test_a_status_for_each_answer(line, status, options, tmp_path):
    card = (
        'kind = "machine"\nfrom = "made up"\nword-bits = 4\nstore-words = 1\n[characters]\ncode = "six-bit"\n'
    )
    (tmp_path / "small.toml").write_text(card, encoding="utf-8")
    ran = wordtight(*line.split(), *options)
    assert ran.status == status
    assert (ran.out == "") == (status == 2)
    assert (ran.err == "") == (status != 2)
    if options and status != 2:
        assert isinstance(json.loads(ran.out), dict)


@pytest.mark.parametrize("options", [(), ("--json",)])
def test_where_no_program_can_be_written_nobody_knows_whether_one_would_fit(options, tmp_path):
    (tmp_path / "chomp.toml").write_text(CHOMP, encoding="utf-8")
    (tmp_path / "eaten.rules").write_text(
        "game: chomp.toml\nseat: first\nlook ahead 4 plies\n", encoding="utf-8"
    )
    ran = wordtight("build", "eaten.rules", "--machine", "twelve-bit", "-o", "out", *options)
    assert (ran.status, ran.err) == (3, "")
    assert "no program for it can be written" in ran.out
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("failure", "status", "said"),
    [
        (TooLarge(7_000_000, 5_000_000), 3, "no full answer: "),
        (MemoryError(), 3, "this needs more memory than there is"),
        (KeyboardInterrupt(), 130, "interrupted"),
        (EOFError(), 130, "interrupted"),
        (
            BadInput([Problem("f", 1, 2, "first"), Problem("f", 3, 0, "second")]),
            2,
            "f:1:2: first\nf:3: second",
        ),
        (OSError(5, "Input/output error"), 2, "the output cannot be written: Input/output error"),
    ],
)
@pytest.mark.parametrize("options", [(), ("--json",)])
def test_what_ends_a_command_early(monkeypatch, failure, status, said, options):
    def fails(*arguments):
        raise failure

    monkeypatch.setattr(prove_command, "prove", fails)
    ran = wordtight("prove", "my.rules", *options)
    assert (ran.status, ran.out) == (status, "")
    assert ran.err.strip().startswith(said)
    assert "Traceback" not in ran.err


def test_a_fault_of_our_own_is_no_verdict(monkeypatch):
    def fails(*arguments):
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(prove_command, "prove", fails)
    ran = wordtight("prove", "my.rules")
    assert (ran.status, ran.out) == (3, "")
    assert "ZeroDivisionError" in ran.err  # the lines that we would want to see
    assert ran.err.splitlines()[-1].startswith("this is a fault of Wordtight's own")
