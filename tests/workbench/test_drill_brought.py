"""`drill IMAGE --machine M --strategy STRATEGY`: a program that people bring, and words that they declare harmless."""

import json
import shutil
from pathlib import Path

import pytest

from tests.budget.drilling.small import TERSE, begun_otherwise
from tests.workbench.running import wordtight
from tests.workbench.test_drill_image import GATE, SHEET

HOW = ["--machine", "twelve-bit", "--house-rules", "terse.toml", "--strategy", "gate.rules"]
COUNTS = "start:     set 0\n           store games\ngame:      count games\n{then}"
TIRES = "           plus -3\n           ifzero lazy\n"


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A folder with a program as it was built, one that counts its games, and one that tires of them."""
    folder = tmp_path_factory.mktemp("gate")
    (folder / "gate.toml").write_text(GATE)
    (folder / "gate.rules").write_text(SHEET.format(rules="take any free cell"))
    (folder / "terse.toml").write_text(TERSE)
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(folder)
        words = ["gate.rules", "--machine", "twelve-bit", "--house-rules", "terse.toml", "-o", "out"]
        assert wordtight("build", *words).status == 0
    text = (folder / "out" / "gate.orders").read_text()
    counting = "games:     space 1\n" + begun_otherwise(text, COUNTS.format(then=""))
    (folder / "counting.orders").write_text(counting)
    tired = "games:     space 1\n" + begun_otherwise(text, COUNTS.format(then=TIRES))
    (folder / "tired.orders").write_text(
        tired.replace("point:     set 1", "lazy:      halt\npoint:     set 1")
    )
    return folder


@pytest.fixture
def brought(built, monkeypatch):
    monkeypatch.chdir(built)
    return built


@pytest.mark.parametrize("end", ["hex", "srec", "rows.txt", "tape.bin", "orders"])
def test_what_was_built_is_proved_from_its_files(brought, end):
    told = json.loads(wordtight("drill", f"out/gate.{end}", *HOW, "--json").out)
    assert (told["verdict"], told["image"], told["states"]) == ("proved", f"out/gate.{end}", 15)
    assert told["power_up"]["next_games"] == told["games"] == 8


def test_a_count_of_games_is_named_and_can_be_declared_harmless(brought, monkeypatch):
    monkeypatch.setattr("budget.drilling.growing.ENOUGH", 60)
    ran = wordtight("drill", "counting.orders", *HOW)
    assert ran.status == 3
    assert "takes new values from game to game, without end: 0000 (games: space 1)" in ran.err
    assert "--harmless 0000" in ran.err
    for word in ("games", "0000"):
        told = json.loads(wordtight("drill", "counting.orders", *HOW, "--harmless", word, "--json").out)
        assert (told["verdict"], told["states"], told["harmless"]) == ("proved", 15, [0])
        assert told["power_up"]["kept"] == []


def test_a_count_that_is_not_harmless_is_found(brought):
    ran = wordtight("drill", "tired.orders", *HOW, "--harmless", "games")
    assert ran.status == 1
    said = " ".join(ran.out.split())
    assert "tired.orders does not play as gate.rules does: with other contents of what should be" in said
    told = json.loads(wordtight("drill", "tired.orders", *HOW, "--json").out)
    assert (told["verdict"], "halted" in told["why"]) == ("differs", True)


def test_the_board_of_a_program_that_was_built_is_not_harmless(brought):
    words = ["gate.rules", "--machine", "twelve-bit", "--house-rules", "terse.toml", "--harmless", "mine"]
    ran = wordtight("drill", *words)
    assert ran.status == 1
    assert "DOES NOT HOLD: the program of gate.rules" in ran.out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["tired.orders", *HOW, "--harmless", "gams"], "tired.orders: 'gams' is no label of the program"),
        (["tired.orders", *HOW, "--harmless", "17777"], "expected one, or an address up to 7777"),
        (["out/gate.hex", *HOW, "--check-sum"], "--strategy drills a program that is built already"),
        (["none.hex", *HOW], "none.hex: cannot be read"),
        (["gate.toml", *HOW], "gate.toml:1:8: expected one number after '='"),
    ],
)
def test_what_cannot_be_drilled_is_refused_in_a_line(brought, words, said):
    ran = wordtight("drill", *words)
    assert ran.status == 2
    assert said in ran.err


IMAGES = Path(__file__).resolve().parents[1] / "faulty" / "images"


def test_what_makes_a_program_go_wrong_is_told_with_a_shortest_line(brought):
    for name in ("three.toml", "three.rules"):
        shutil.copy(IMAGES / name, brought)
    words = ["drill", IMAGES / "carry.orders", "--machine=twelve-bit", "--house-rules=terse.toml"]
    ran = wordtight(*words, "--strategy", "three.rules")
    assert ran.status == 1
    assert ran.out.endswith(
        "A shortest line on which it does:\n    (start)\n    ?           ?\n    1           3W\n"
        "At its end '2W' is due.\n\nWithout '?' before, the end would be right. What is kept of that, and does the\n"
        "harm:\n    the carry: 1, where 0 would be right.\n"
    )
    blame = json.loads(wordtight(*words, "--strategy", "three.rules", "--json").out)["blame"]
    assert blame["kept"] == [{"where": "the carry", "holds": "1", "due": "0"}]
    assert [each["typed"] for each in blame["line"]] == ["", "?", "1"]
