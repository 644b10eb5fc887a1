"""What commands print: plain ASCII of at most 80 columns that ends with what comes next, or one JSON object."""

import json
import re
import shlex
from pathlib import Path

import pytest

from games.load import catalogue_names
from tests.workbench.running import wordtight
from workbench.main import COMMANDS
from workbench.new import KINDS, template

WIDTH = 80
DOCUMENTED = Path(__file__).parent.parent.parent / "docs" / "json.md"
GOOD = "game: noughts-and-crosses\nseat: second\n\ncomplete a line\nblock a line\nstop a double threat\n"
GOOD += "take the centre\ntake a corner\ntake any free cell\n"
LONG_NAME = "the sheet that group 5 of the Saltmarsh club wrote on a rainy afternoon, third attempt.rules"
FILES = {
    "good.rules": GOOD,
    "hole.rules": template("rules"),
    "both.rules": GOOD.replace("second", "both").replace("stop a double threat\n", ""),
    "short.rules": "game: noughts-and-crosses\nseat: second\ntake the centre\n",
    "search.rules": "game: two-by-two\nseat: first\nlook ahead 3 plies\n",
    "small.rules": "game: two-by-two\nseat: first\nclaim: best-value\ntake any free cell\n",
    "small.csv": "game: two-by-two\nseat: first\nclaim: best-value\nturning: plain\n\n"
    "position,move\n__/__,a1\nMV/__,a2\nM_/V_,b1\nM_/_V,b1\n",
    "lost.rules": "game: two-by-two\nseat: second\ntake any free cell\n",
    "wide.rules": "game: wide.toml\nseat: second\nblock a line\ntake any free cell\n",
    "wide.toml": 'kind = "game"\nfamily = "marks"\ntitle = "A row"\ncolumns = 8\nrows = 1\nin-a-row = 4\n',
    "wider.toml": 'kind = "game"\nfamily = "marks"\ncolumns = 14\nrows = 2\nin-a-row = 2\nfrom = "%s"\n'
    % ("x" * 300),
    "named.toml": 'kind = "game"\nfamily = "marks"\ncolumns = 3\nrows = 1\nin-a-row = 2\n'
    'cells = ["lefthand", "middling", "righthan"]\n',
    "table.csv": template("table"),
    "gaps.csv": "game: noughts-and-crosses\nseat: first\nposition,move\n___/___/___,5\n",
    "wrong.csv": "game: two-by-two\nseat: first\nposition,move\n__/__,a1\nMV/__,a1\n",
    "house.toml": template("house-rules"),
    "talk.toml": 'kind = "house-rules"\n[[rule]]\nwhen = ["any"]\ncost = "turn"\nforgive = 2\n'
    'say = "%s"\n' % ("NO, REALLY, THAT IS NOT WHAT ANYBODY WOULD CALL A MOVE. " * 5),
    "card.toml": template("machine"),
    LONG_NAME: GOOD,
}
RUNS = {
    "--help": 0,
    "--version": 0,
    **{f"{command} --help": 0 for command in COMMANDS},
    "games": 0,
    "machines": 0,
    "machines drum-desk": 0,
    "machines card.toml": 0,
    **{f"show {name}": 0 for name in catalogue_names()},
    "show wide.toml": 0,
    "show wider.toml": 0,
    "show named.toml": 0,
    "solve noughts-and-crosses": 0,
    "solve two-by-two --no-counts": 0,
    "solve pong-hau-ki": 0,
    "solve named.toml": 0,
    "solve noughts-and-crosses --house-rules lost-turn --seat first": 0,
    "solve misere-noughts-and-crosses --house-rules lost-turn --no-counts": 0,
    "solve two-by-two --house-rules house.toml": 0,
    "solve two-by-two --house-rules talk.toml": 0,
    **{f"new {kind} -o fresh-{kind}": 0 for kind in KINDS},
    **{f"check {name}": 0 for name in FILES if "'" not in name and " " not in name and "game" not in name},
    f"check '{LONG_NAME}'": 0,
    "prove good.rules": 0,
    "prove hole.rules": 1,
    "prove both.rules": 1,
    "prove short.rules": 1,
    "prove search.rules --claim quickest": 0,
    "prove lost.rules": 1,
    "prove wide.rules": 1,
    "prove table.csv": 0,
    "prove gaps.csv": 1,
    "prove wrong.csv": 1,
    "prove table.csv --house-rules lost-turn": 1,
    "prove good.rules --claim best-value": 0,
    "prove good.rules --house-rules house.toml": 0,
    "prove good.rules --house-rules three-warnings": 0,
    "prove good.rules --house-rules talk.toml": 0,
    f"prove '{LONG_NAME}'": 0,
    "paper small.rules cutouts": 0,
    "paper small.csv playbook": 0,
    "paper lost.rules playbook": 1,
    "grade class --game two-by-two --seat both --force": 0,
    "explain hole.rules": 0,
    "explain hole.rules --hints": 0,
    "explain hole.rules 1 5 9": 0,
    "explain table.csv": 0,
    "explain lost.rules": 0,
    "repair wrong.csv --least answers": 0,
    "repair lost.rules": 1,
    "hunt last-crumb --answers": 0,
    "report small.csv -o page.html": 0,
    "report lost.rules -o page.html": 1,
    "report short.rules -o page.html": 1,
    "size small.rules --machine twelve-bit --encoding as-written": 0,
    "size small.csv --machine card.toml --encoding dense": 0,
    "size search.rules --machine twelve-bit --encoding as-written": 0,
    "odds --mean-hours 12 --minutes-a-game 6": 0,
    "odds --failures 2 --running-hours 40 --minutes-a-game 600 --games 40 --day-hours 5 --keeping-seconds 9": 0,
}
"""Command lines and the status with which they end."""
KEYS = {
    "games": {"games"},
    "show": {"game", "title", "from", "size", "moves", "lines", "rules", "symmetries"},
    "new": {"kind", "file"},
    "check": {"file", "well_written", "kind", "about"},
    "solve": {"game", "value", "fair_value", "distance", "positions", "measured"},
    "prove": {
        "verdict", "claim", "seat", "positions", "positions_up_to_symmetry", "answers", "answers_fixed_board",
        "longest_line", "losing_line", "first_losing_decision", "rules", "never_said",
    },
    "paper": {"strategy", "kind", "file"},
    "explain": {"game", "seat", "claim", "house_rules", "position"},
    "repair": {"game", "claim", "count"},
    "hunt": {"strategies"},
    "report": {"file", "game", "strategy", "seat", "verdict", "never_said", "tables", "machine", "programs"},
    "size": {"fits", "machine", "word_bits", "store_words", "encodings"},
    "grade": {"game", "seat", "claim", "points", "attempts", "mistakes", "play_the_same", "remark", "folder", "files"},
    "odds": {"mean_hours", "minutes_a_game", "chances", "broken_off_at_most", "keeping"},
}  # fmt: skip
"""The JSON keys that callers can rely on, whatever else there may be."""


@pytest.fixture(autouse=True)
def in_a_folder_of_files(tmp_path, monkeypatch):
    for name, text in FILES.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    (tmp_path / "class").mkdir()
    (tmp_path / "class" / "=\u00e9t\u00e9.rules").write_text("take any free cell\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)


def lines_of(out):
    assert out.endswith("\n")
    return out.removesuffix("\n").split("\n")


@pytest.mark.parametrize(("line", "status"), RUNS.items(), ids=list(RUNS))
def test_output_is_plain_narrow_and_says_what_comes_next(line, status):
    ran = wordtight(*shlex.split(line))
    assert (ran.status, ran.err) == (status, "")
    assert ran.out.isascii()
    lines = lines_of(ran.out)
    for text in lines:
        assert text.isprintable(), "no tabs, no codes"
        assert text == text.rstrip()
        is_typed_whole = text.startswith("Next: ") and (LONG_NAME in text or " --house-rules " in text)
        assert len(text) <= WIDTH or is_typed_whole
    if "--help" not in line and line != "--version":
        assert lines[-1].startswith("Next: wordtight ") or (
            lines[-2].startswith("Next: wordtight ") and re.fullmatch(r" +\(.*\)", lines[-1])
        )


@pytest.mark.parametrize("line", [line for line in RUNS if line.split()[0] in KEYS and "--help" not in line])
def test_json_is_one_object_with_the_documented_keys(line):
    ran = wordtight(*shlex.split(line), "--json")
    assert (ran.status, ran.err) == (RUNS[line], "")
    assert ran.out.isascii()
    told = json.loads(ran.out)
    assert isinstance(told, dict)
    command = line.split()[0]
    if line == "prove both.rules":
        assert set(told) == {"seats"}
        assert [each["seat"] for each in told["seats"]] == ["first", "second"]
    for record in told.get("seats", [told]):
        assert KEYS[command] <= set(record) <= documented_keys(command)


def documented_keys(command):
    """The keys that the page on JSON names for a command."""
    page = DOCUMENTED.read_text(encoding="utf-8")
    headings = [
        part for part in page.split("\n## ")[1:] if command in re.split(r"[, \n]+", part.partition("\n")[0])
    ]
    rows = [line for line in headings[0].split("\n") if line.startswith("| `")]
    own = [row for row in rows if row.startswith(f"| `{command}` |")]
    cells = [row.split("|")[2] for row in own] or [row.split("|")[1] for row in rows]
    if own:  # one row for a whole command: the keys stand before what is said about them
        cells = [cell.partition(":")[0] for cell in cells]
    return {key for cell in cells for quoted in re.findall("`(.*?)`", cell) for key in quoted.split(", ")}


@pytest.mark.parametrize(
    "line",
    [
        "prove hole.rules",
        "prove both.rules",
        "size small.rules --machine twelve-bit --encoding as-written",
        "show hex-three",
    ],
)
@pytest.mark.parametrize("as_json", [(), ("--json",)])
def test_the_same_input_gives_the_same_output(line, as_json):
    assert wordtight(*line.split(), *as_json) == wordtight(*line.split(), *as_json)


def test_of_two_runs_of_solve_only_what_is_measured_differs():
    first, second = (json.loads(wordtight("solve", "two-by-two", "--json").out) for _ in range(2))
    assert (
        set(first.pop("measured")) == set(second.pop("measured")) == {"cpu_seconds", "peak_mb", "planned_mb"}
    )
    assert first == second


def test_counts_come_when_they_are_asked_for():
    counts = {"positions_up_to_symmetry", "by_ply", "by_ply_up_to_symmetry", "endings", "lines_of_play"}
    with_counts = json.loads(wordtight("solve", "noughts-and-crosses", "--json").out)
    without = json.loads(wordtight("solve", "noughts-and-crosses", "--json", "--no-counts").out)
    assert counts <= set(with_counts)
    assert not counts & set(without)
    assert with_counts["lines_of_play"] == 255_168


def test_both_seats_are_proved_only_if_each_is():
    first, second = json.loads(wordtight("prove", "both.rules", "--json").out)["seats"]
    assert (first["seat"], second["seat"]) == ("first", "second")
    assert {first["verdict"], second["verdict"]} == {"proved", "refuted"}
    told = wordtight("prove", "both.rules").out
    assert told.count("PROVED.") == told.count("REFUTED.") == 1


@pytest.mark.parametrize(
    "name",
    ["two words.rules", "caf\u00e9 \u2693.rules", "a&b.rules", "semi;colon.rules", "(1).rules", "it's.rules"],
)
def test_the_next_command_can_be_typed_as_it_stands(name):
    Path(name).write_text(GOOD, encoding="utf-8")
    for command in ("check", "prove"):
        ran = wordtight(command, name)
        assert ran.status == 0
        [following] = re.findall(r"^Next: (.*?)(?:  \(.*\))?$", ran.out, re.MULTILINE)
        assert name in shlex.split(following)
