"""Sizing what cannot be stored says so, to people and to machines."""

import json

from click.testing import CliRunner

from workbench.main import commands

SHEET = "game: noughts-and-crosses\nseat: second\ncomplete a line\n"


def test_a_strategy_without_an_answer_is_no_table(tmp_path):
    (tmp_path / "my sheet.rules").write_text(SHEET, encoding="utf-8")
    run = CliRunner().invoke(
        commands, ["size", str(tmp_path / "my sheet.rules"), "--machine", "twelve-bit", "--json"]
    )
    assert run.exit_code == 1
    assert json.loads(run.stdout) == {
        "game": "noughts-and-crosses",
        "strategy": "my sheet",
        "seat": "second",
        "claim": "never-loses",
        "house_rules": "usual",
        "verdict": "no-answer",
        "machine": "twelve-bit",
        "title": "Twelve-bit core-store machine",
        "word_bits": 12,
        "store_words": 4096,
        "fits": False,
        "encodings": [],
        "programs": [],
    }
    assert "nothing whole to store" in run.stderr


def test_for_both_seats_the_verdicts_stand_in_a_list_as_the_sizes_would(tmp_path):
    (tmp_path / "both.rules").write_text(SHEET.replace("second", "both"), encoding="utf-8")
    run = CliRunner().invoke(
        commands, ["size", str(tmp_path / "both.rules"), "--machine", "twelve-bit", "--json"]
    )
    assert run.exit_code == 1
    found = json.loads(run.stdout)
    assert list(found) == ["seats"]
    assert [(each["seat"], each["verdict"], each["fits"]) for each in found["seats"]] == [
        ("first", "no-answer", False),
        ("second", "no-answer", False),
    ]


def next_line(*arguments):
    lines = CliRunner().invoke(commands, arguments).stdout.split("\n")
    return next(line for line in lines if line.startswith("Next: "))


def test_the_next_command_carries_the_options_that_made_the_answer(tmp_path):
    sheet = tmp_path / "sheet.rules"
    sheet.write_text("complete a line\nblock a line\ntake any free cell\n", encoding="utf-8")
    options = ["--game", "noughts-and-crosses", "--seat", "second", "--house-rules", "lost-turn"]
    line = next_line("prove", str(sheet), *options)
    assert line.startswith(f"Next: wordtight prove --watch {sheet} --game noughts-and-crosses --seat second")
    assert "--house-rules lost-turn" in line


def test_a_lost_seat_is_not_told_to_mend_its_sheet(tmp_path):
    sheet = tmp_path / "sheet.rules"
    sheet.write_text("game: hexapawn\nseat: first\nlook ahead 3 plies\n", encoding="utf-8")
    assert next_line("prove", str(sheet)).startswith("Next: wordtight solve hexapawn")
