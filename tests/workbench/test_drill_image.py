"""`drill STRATEGY --machine M` and `suspect`, as people use them."""

import json

import pytest

from tests.workbench.running import wordtight

GATE = """\
kind = "game"
family = "marks"
columns = 2
rows = 2
cells = ["1", "2", "3", "4"]
lines = [["1", "2"]]
"""
SHEET = "game: gate.toml\nseat: second\n\n{rules}\n"


@pytest.fixture
def gate(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "gate.toml").write_text(GATE)
    (tmp_path / "gate.rules").write_text(SHEET.format(rules="take any free cell"))
    (tmp_path / "loses.rules").write_text(SHEET.format(rules="take 4\ntake any free cell"))
    return tmp_path


def test_an_image_is_drilled(gate):
    ran = wordtight("drill", "gate.rules", "--machine", "delay-line")
    assert ran.status == 0
    assert ran.out.startswith("PROVED: fed with every input in every state")
    assert "From one game into the next something goes in" in " ".join(ran.out.split())
    assert "(case: space 1)" in ran.out  # in which case the keyboard stands


@pytest.mark.long
def test_a_drill_is_told_by_its_keys(gate):
    told = json.loads(wordtight("drill", "gate.rules", "--machine=delay-line", "--json").out)
    assert (told["verdict"], told["faults"], told["games"]) == ("proved", None, 8)
    assert told["power_up"]["next_games"] == told["games"]


@pytest.mark.long
def test_a_drill_of_faults_writes_a_table_that_can_be_asked(gate):
    ran = wordtight("drill", "gate.rules", "--machine", "delay-line", "--faults", "-o", "t.json", "--json")
    faults = json.loads(ran.out)["faults"]
    assert sum(sum(each.values()) for each in faults["found"].values()) == faults["drilled"]
    assert faults["morning"]["bound"] == len(faults["morning"]["lines"])
    table = json.loads((gate / "t.json").read_text())
    fault = next(
        each for each in table["faults"] if each["shown"][0]["step"] == 0 and len(each["addresses"]) == 1
    )
    ran = wordtight(
        "suspect", "t.json", table["steps"][0]["typed"], "--printed", fault["shown"][0]["printed"], "--json"
    )
    assert ran.status == 0
    assert fault["addresses"][0] in {each["address"] for each in json.loads(ran.out)["words"]}
    assert (
        "is there already"
        in wordtight("drill", "gate.rules", "--machine", "delay-line", "--faults", "-o", "t.json").err
    )


@pytest.mark.parametrize(
    ("words", "status", "said"),
    [
        (
            ["drill", "loses.rules", "--machine", "delay-line"],
            1,
            "NOTHING TO DRILL: loses.rules: 'never-loses'",
        ),
        (["drill", "gate.rules", "--machine", "delay-line", "-o", "x"], 2, "expected --faults with it"),
        (["drill", "gate.rules", "--machine", "avr"], 2, "has a compiler between"),
        (
            ["suspect", "gate.toml", "--printed", "7"],
            2,
            "line 1, column 1: is no JSON; expected a table of faults",
        ),
        (["suspect", "none.json", "--printed", "7"], 2, "none.json"),
        (["suspect", "list.json", "--printed", "7"], 2, "is no table of faults"),
        (["suspect", "table.json", "2", "--printed", "7"], 2, "input 1, '2', is in no line of the drill"),
        (
            ["suspect", "table.json", "1", "--printed", "7"],
            0,
            "Look at 041 (load mine): 1 fault of that word alone",
        ),
        (["suspect", "table.json", "1", "--printed", "8"], 1, "No fault of the drill does that"),
        (
            ["suspect", "table.json", "1", "--printed", "7", "--also", "1", "7"],
            0,
            "After '1' '3' is due, and '7' was printed. After '1'",
        ),
        (
            ["suspect", "table.json", "1", "--printed", "7", "--also", "", "9"],
            1,
            "At the start '' is due, and '9' was printed. No fault of the drill does all of that",
        ),
        (["suspect", "table.json", "--printed", "7", "--also", "2", "7"], 2, "input 1, '2', is in no line"),
    ],
)
def test_what_is_asked_is_answered_in_a_line(gate, words, status, said):
    (gate / "list.json").write_text("[]")
    (gate / "table.json").write_text(json.dumps(TABLE))
    ran = wordtight(*words)
    assert ran.status == status
    assert said in " ".join((ran.out + ran.err).split())


TABLE = {
    "kind": "fault-table",
    "machine": "gate",
    "words": {"33": "041 (load mine)"},
    "begins": "",
    "steps": [{"after": -1, "typed": "1", "printed": "3"}],
    "faults": [
        {
            "kind": "a bit before the start",
            "where": [33, 0],
            "addresses": [33],
            "found": "strays",
            "shown": [{"step": 0, "printed": "7", "then": "waiting for input"}],
        }
    ],
}


def test_a_table_of_megabytes_is_read(gate):
    (gate / "table.json").write_text(json.dumps({**TABLE, "padding": " " * 2_000_000}))
    assert wordtight("suspect", "table.json", "1", "--printed", "7").status == 0
