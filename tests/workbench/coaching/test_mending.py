"""`repair` as people use it: what it says, what it writes, and how it ends."""

import json
from pathlib import Path

import pytest

from solver.least.stopped import NotFound
from solver.load import load_strategy
from solver.proof import PROVED, prove
from tests.workbench.running import wordtight
from workbench.coaching import mending

FERRY = "game: noughts-and-crosses\nseat: second\n\ncomplete a line\nblock a line\nmake a double threat\n"
FERRY += "take the centre\ntake the opposite corner\ntake a corner\ntake an edge\n"
ROW = 'kind = "game"\nfamily = "marks"\ncolumns = 4\nrows = 1\nin-a-row = 2\n'
FILES = {
    "ferry.rules": FERRY,
    "both.rules": FERRY.replace("second", "both"),
    "row.toml": ROW,
    "row.rules": "game: row.toml\nseat: first\ntake any free cell\n",
    "table.csv": "game: two-by-two\nseat: first\nclaim: best-value\nposition,move\n__/__,a1\nMV/__,a1\n",
    "holds.rules": "game: two-by-two\nseat: first\ncomplete a line\ntake any free cell\n",
    "lost.rules": "game: two-by-two\nseat: second\ntake any free cell\n",
    "points.rules": "game: boxes-two-by-two\nseat: first\nlook ahead 1 ply\n",
    "fixed.rules": "game: row.toml\nseat: first\nclaim: best-value\nchoice: plain\ntake any free cell\n",
}


@pytest.fixture(autouse=True)
def in_a_folder_of_files(tmp_path, monkeypatch):
    for name, text in FILES.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)


def holds(file):
    written = load_strategy(file)
    return prove(written.strategy(written.seats[0]), written.claim, written.house).verdict == PROVED


def test_two_pictures_away():
    ran = wordtight("repair", "ferry.rules", "-o", "mended.rules")
    assert ran.status == 0
    assert "TWO PICTURES AWAY: with these 2 pictures in front of its rules the claim holds." in ran.out
    assert "PROVED LEAST: with fewer pictures in front it does not hold." in ran.out
    assert "As stored answers in front: 2 will do, and no fewer." in ran.out
    assert "These 2 rules can go then" in ran.out
    assert holds("mended.rules")
    text = Path("mended.rules").read_text(encoding="utf-8")
    assert text.startswith("# 2 pictures in front; proved least\ngame: noughts-and-crosses\nseat: second\n")
    assert text.endswith(FERRY.partition("\n\n")[2])


def test_answers_are_written_as_a_table_beside_the_sheet():
    ran = wordtight("repair", "ferry.rules", "--least", "answers", "-o", "mended.rules", "--json")
    record = json.loads(ran.out)
    assert (ran.status, record["count"], record["bound"], record["least"]) == (0, 2, 2, "answers")
    assert record["rows"] == [
        {"position": "_V_/VM_/___", "move": "1"},
        {"position": "__V/_M_/V__", "move": "2"},
    ]
    assert holds("mended.rules")
    assert Path("mended.csv").exists()
    again = wordtight("repair", "ferry.rules", "--least", "answers", "-o", "mended.rules")
    assert (again.status, again.out) == (2, "")
    assert (
        wordtight("repair", "ferry.rules", "--least", "answers", "-o", "mended.rules", "--force").status == 0
    )


def test_a_sheet_with_a_game_beside_it_stays_beside_it(tmp_path):
    (tmp_path / "other").mkdir()
    ran = wordtight("repair", "row.rules", "-o", "other/mended.rules")
    assert (ran.status, ran.out) == (2, "")
    assert "names files beside it; expected a name in the same folder" in ran.err
    assert wordtight("repair", "row.rules", "-o", "mended.rules").status == 0
    assert holds("mended.rules")


def test_a_table_gets_answers_in_front():
    assert wordtight("repair", "table.csv", "--least", "answers", "-o", "mended.rules").status == 0
    assert holds("mended.rules")
    assert 'use table "table.csv"' in Path("mended.rules").read_text(encoding="utf-8")


def test_a_choice_that_is_settled_stays_settled():
    ran = wordtight("repair", "fixed.rules", "-o", "mended.rules")
    assert ran.status == 0
    assert "(No pictures: there are no pictures in front of rules that tell boards apart" in ran.out
    assert "choice: plain" in Path("mended.rules").read_text(encoding="utf-8")
    assert holds("mended.rules")


def test_what_holds_already_and_what_nothing_can_mend():
    ran = wordtight("repair", "holds.rules", "-o", "mended.rules")
    assert ran.status == 0
    assert "IT HOLDS ALREADY" in ran.out
    assert "This rule can go without harm:\n  line 3  complete a line\n" in ran.out
    assert not Path("mended.rules").exists()
    lost = wordtight("repair", "lost.rules")
    assert lost.status == 1
    assert "THIS SEAT IS LOST" in lost.out
    assert json.loads(wordtight("repair", "lost.rules", "--json").out)["count"] is None


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("both.rules", "expected --seat first or --seat second"),
        ("points.rules", "moves score here; expected --claim best-value"),
        ("table.csv --least pictures", "expected --least answers"),
        ("ferry.rules -o ferry.rules", "is there already"),
    ],
)
def test_what_is_asked_wrongly(line, said):
    if "--least pictures" in line:  # a game without pictures
        Path("table.csv").write_text("game: hex-three\nseat: first\nposition,move\n___/___/___,1\n", "utf-8")
    ran = wordtight("repair", *line.split())
    assert (ran.status, ran.out) == (2, "")
    assert said in ran.err


def test_where_time_is_short_the_gap_is_told(monkeypatch):
    real = mending.fewest_pictures

    def hurried(*arguments, **options):
        return real(*arguments, **{**options, "told": lambda best, bound: False, "seconds": 1e9})

    monkeypatch.setattr(mending, "fewest_pictures", hurried)
    Path("any.rules").write_text(
        "game: noughts-and-crosses\nseat: second\ncomplete a line\nblock a line\ntake a corner\ntake 5\n",
        "utf-8",
    )
    ran = wordtight("repair", "any.rules", "-o", "mended.rules")
    assert ran.status == 3
    assert "time ran out; give more with --time." in ran.out
    assert "at least" in Path("mended.rules").read_text(encoding="utf-8").split("\n")[0]
    assert holds("mended.rules")


def test_what_was_written_is_proved_anew(monkeypatch):
    class Refuted:
        verdict = "refuted"

    monkeypatch.setattr("workbench.written.prove", lambda *arguments: Refuted())
    ran = wordtight("repair", "ferry.rules", "-o", "mended.rules")
    assert (ran.status, ran.out) == (3, "")
    assert "was written, but is refuted" in ran.err


def test_where_there_is_no_time_to_look_best_play_stands_in_front(monkeypatch):
    def in_vain(*arguments, **options):
        raise NotFound(0)

    monkeypatch.setattr(mending, "fewest_answers", in_vain)
    ran = wordtight("repair", "ferry.rules", "--least", "answers", "--json")
    told = json.loads(ran.out)
    assert (ran.status, told["bound"], told["proved_least"]) == (3, 1, False)
    assert told["count"] == len(told["rows"]) >= 2
    monkeypatch.setattr(mending, "plain_answers", lambda *arguments, **options: None)
    ran = wordtight("repair", "ferry.rules")
    assert (ran.status, ran.out) == (3, "")
    assert ran.err == "No change was found in time; it takes 1 at least. Give more with --time.\n"


def test_pictures_can_be_made_of_the_answers_of_best_play(monkeypatch):
    def in_vain(*arguments, **options):
        raise NotFound(0)

    monkeypatch.setattr(mending, "fewest_answers", in_vain)
    told = json.loads(wordtight("repair", "ferry.rules", "--json").out)
    assert (told["least"], told["count"]) == ("pictures", 2)
