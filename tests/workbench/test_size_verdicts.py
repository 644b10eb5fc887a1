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
        "machine": "twelve-bit",
        "fits": False,
        "verdicts": {"second": "no-answer"},
    }
    assert "nothing whole to store" in run.stderr
