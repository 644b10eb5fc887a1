"""`wordtight plan`: what fits, told, drawn, written and as JSON."""

import json
import xml.etree.ElementTree as ET
from itertools import islice

import pytest
from click.testing import CliRunner

from budget.plan.searching import searches
from games.problems import BadInput
from solver.load import load_strategy
from solver.proof import PROVED, prove
from workbench.commands import plan as plan_command
from workbench.main import commands

THREE = 'kind = "game"\nfamily = "take"\nplay = "heaps"\nheaps = [3]\ntake = [1, 2]\n'
FULL = {
    "total_words",
    "program_words",
    "table_words",
    "message_words",
    "workspace_words",
    "worst_instructions",
    "worst_seconds",
    "strategy",
}


@pytest.fixture(autouse=True)
def in_a_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "three.toml").write_text(THREE, encoding="utf-8")


def run(*arguments):
    return CliRunner().invoke(commands, ["plan", "three.toml", "--seat", "second", *arguments])


@pytest.fixture
def few(monkeypatch):
    """Only one strategy is weighed, which is soon done."""
    monkeypatch.setattr(
        plan_command, "candidates", lambda asked, effort: islice(searches(asked, (), effort), 1)
    )


@pytest.mark.long
def test_json_has_every_figure_of_every_tradeoff():
    result = run("--machine", "twelve-bit", "--json", "--time", "600")
    assert result.exit_code == 0, result.output
    record = json.loads(result.stdout)
    assert record["fits"]
    assert record["programs_built"] + record["programs_left_behind"] > 5
    assert record["tradeoffs"]
    for way in record["tradeoffs"]:
        assert set(way) >= FULL
    assert record["best"] == record["tradeoffs"][0]
    assert record["nearest"] is None


@pytest.mark.usefixtures("few")
def test_the_best_is_told_drawn_and_written(tmp_path):
    told = run("--machine", "twelve-bit", "-o", "best.rules", "--picture", "plan.svg")
    assert told.exit_code == 0
    assert "TAKE look ahead" in told.stdout
    assert max(map(len, told.stdout.splitlines())) <= 80
    written = load_strategy(tmp_path / "best.rules", game="three.toml", seat="second")
    assert prove(written.strategy(1), "never-loses", written.house).verdict == PROVED
    drawing = ET.parse(tmp_path / "plan.svg").getroot()
    texts = ["".join(each.itertext()) for each in drawing.iter() if each.tag.endswith("text")]
    assert any("words" in text for text in texts)
    record = json.loads(run("--machine", "twelve-bit", "--json").stdout)
    [way] = record["tradeoffs"]
    assert set(way) >= FULL
    assert way["strategy"] == (tmp_path / "best.rules").read_text(encoding="utf-8")
    assert record["best"] == way
    again = run("--machine", "twelve-bit", "-o", "best.rules")
    assert isinstance(again.exception, BadInput)
    assert "is there already" in str(again.exception)


@pytest.mark.usefixtures("few")
def test_nothing_answers_in_no_time():
    result = run("--machine", "twelve-bit", "--answer-within", "0.000001")
    assert result.exit_code == 1
    told = " ".join(result.stdout.split())
    assert "NONE ANSWERS WITHIN 1e-06 s: the quickest is look ahead" in told
    assert "What would have to give: the time:" in told


def test_why_there_is_no_program_is_told(tmp_path):
    boxes = 'kind = "game"\nfamily = "fill"\nplay = "boxes"\ncolumns = 1\nrows = 1\n'
    (tmp_path / "box.toml").write_text(boxes, encoding="utf-8")
    asked = ["plan", "box.toml", "--seat", "first", "--machine", "twelve-bit", "--claim", "best-value"]
    result = CliRunner().invoke(commands, asked)
    assert result.exit_code == 3, result.output
    told = " ".join(result.stdout.split())
    assert "NONE: no program could be written: programs for games such as" in told
    assert "are not written yet." in told
    record = json.loads(CliRunner().invoke(commands, [*asked, "--json"]).stdout)
    assert record["reason"].startswith("programs for games such as")


def test_a_lost_seat_is_told():
    result = CliRunner().invoke(
        commands, ["plan", "three.toml", "--seat", "first", "--machine", "twelve-bit"]
    )
    assert result.exit_code == 1
    assert "THIS SEAT IS LOST" in result.stdout


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["three.toml", "--seat", "second"], "--machine"),
        (["three.toml", "--machine", "twelve-bit"], "expected --seat first or --seat second"),
    ],
)
def test_what_is_lacking_is_said_in_one_line(arguments, said):
    result = CliRunner().invoke(commands, ["plan", *arguments])
    assert result.exit_code == 2
    assert said in result.stderr


def test_a_machine_that_there_is_not_is_named():
    result = CliRunner().invoke(commands, ["plan", "three.toml", "--seat", "second", "--machine", "nowhere"])
    assert "there is no machine called 'nowhere'" in str(result.exception)
