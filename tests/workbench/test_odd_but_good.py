"""Files as other systems, editors and spreadsheets leave them are read like the plain ones."""

import json
import re
from pathlib import Path

import pytest

from tests.workbench.running import wordtight
from workbench.new import template

SHEET, TABLE = template("rules"), template("table")
HOUSE, GAME = template("house-rules"), template("game")
MARK = b"\xef\xbb\xbf"


def everywhere(change):
    return lambda text: change(text).encode("utf-8")


ANY_TEXT = {
    "windows-line-ends": everywhere(lambda text: text.replace("\n", "\r\n")),
    "old-mac-line-ends": everywhere(lambda text: text.replace("\n", "\r")),
    "mixed-line-ends": everywhere(lambda text: text.replace("\n\n", "\r\n\n")),
    "byte-order-mark": lambda text: MARK + text.encode("utf-8"),
    "mark-and-windows": lambda text: MARK + text.replace("\n", "\r\n").encode("utf-8"),
    "no-last-line-end": everywhere(lambda text: text.rstrip("\n")),
    "empty-lines-at-the-end": everywhere(lambda text: text + "\n \n\t\n"),
    "blanks-at-line-ends": everywhere(lambda text: text.replace("\n", " \n")),
    "remark-in-any-script": everywhere(lambda text: text + "# \u00e4 \u4e2d \u2693\n"),
}
SHEETS = ANY_TEXT | {
    "capitals": everywhere(lambda text: text.replace("take the centre", "TAKE The Centre")),
    "capitals-in-the-header": everywhere(
        lambda text: text.replace("seat: second", "Seat : SECOND").replace("claim", "CLAIM")
    ),
    "tabs": everywhere(lambda text: text.replace("take the centre", "\ttake\tthe\tcentre\t")),
    "no-break-spaces": everywhere(lambda text: text.replace("take the centre", "take\u00a0the\u00a0centre")),
    "picture-in-words": everywhere(
        lambda text: text.replace("V _ _\n", "V__\n").replace("_ M !", "_M!").replace("_ _ V", "__V")
    ),
    "picture-with-tabs": everywhere(lambda text: text.replace("V _ _\n", "V\t_\t_\n")),
    "picture-with-gaps": everywhere(lambda text: text.replace("V _ _\n", "\nV _ _  # top\n\n")),
    "remarks-between": everywhere(lambda text: text.replace("seat:", "# whose turn\n\nseat:")),
}
TABLES = ANY_TEXT | {
    "semicolons": everywhere(lambda text: text.replace(",5", ";5").replace(",", ";")),
    "semicolons-behind-all": everywhere(
        lambda text: "\n".join(
            f"{line};" if ":" in line else line.replace(",", ";") for line in text.split("\n")
        )
    ),
    "more-empty-columns": everywhere(
        lambda text: "\n".join(line if line.startswith("#") else f"{line},,," for line in text.split("\n"))
    ),
    "quotes": everywhere(lambda text: text.replace("V__/_M_/___,9", '"V__/_M_/___","9"')),
    "capital-titles": everywhere(lambda text: text.replace("position,move", "Position, Move")),
    "blanks": everywhere(lambda text: text.replace("V__/_M_/___,9", "  V__/_M_/___ ,  9 ")),
}
TOMLS = {name: change for name, change in ANY_TEXT.items() if name != "old-mac-line-ends"}


@pytest.fixture(autouse=True)
def in_an_empty_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def proof(name, *options):
    ran = wordtight("prove", name, "--json", *options)
    assert ran.err == ""
    told = json.loads(ran.out)
    for rule in told["rules"]:
        rule["rule"] = rule["rule"].lower()
        del rule["line"]
    if told["first_losing_decision"]:
        del told["first_losing_decision"]["rule_line"]
    return told


def changed_and_plain(change, text, name, *options):
    Path(name).write_bytes(change(text))
    changed = proof(name, *options)
    Path(name).write_text(text, encoding="utf-8")
    assert change(text) != text.encode("utf-8"), "the change changes something"
    return changed, proof(name, *options)


@pytest.mark.parametrize("change", SHEETS.values(), ids=list(SHEETS))
def test_sheets(change):
    changed, plain = changed_and_plain(change, SHEET, "my.rules")
    assert changed == plain


@pytest.mark.parametrize("change", TABLES.values(), ids=list(TABLES))
def test_tables(change):
    changed, plain = changed_and_plain(change, TABLE, "my.csv")
    assert changed == plain


@pytest.mark.parametrize("change", TOMLS.values(), ids=list(TOMLS))
@pytest.mark.parametrize(("text", "arguments"), [
    (HOUSE, ("solve", "two-by-two", "--no-counts", "--house-rules", "my.toml")),
    (GAME, ("show", "my.toml")),
], ids=["house-rules", "game"])  # fmt: skip
def test_settings(change, text, arguments):
    Path("my.toml").write_text(text, encoding="utf-8")
    plain = wordtight(*arguments)
    Path("my.toml").write_bytes(change(text))
    assert wordtight(*arguments) == plain
    assert plain.status == 0


def test_names_of_files_in_capitals():
    Path("MY.CSV").write_text(TABLE, encoding="utf-8")
    assert wordtight("prove", "MY.CSV").status == 0
    Path("MY.TOML").write_text(GAME, encoding="utf-8")
    assert json.loads(wordtight("check", "MY.TOML", "--json").out)["kind"] == "game"
    assert wordtight("show", "MY.TOML").status == 0


def test_files_are_found_beside_the_sheet_from_anywhere():
    Path("club").mkdir()
    Path("club/my game.toml").write_text(GAME, encoding="utf-8")
    Path("club/my house.toml").write_text(HOUSE, encoding="utf-8")
    Path("club/my table.csv").write_text("position,move\n____/____/____,b2\n", encoding="utf-8")
    Path("club/my sheet.rules").write_text(
        'game: my game.toml\nhouse-rules: my house.toml\nseat: first\nuse table "my table.csv"\ntake any free cell\n',
        encoding="utf-8",
    )
    assert wordtight("check", "club/my sheet.rules").status == 0
    assert wordtight("check", "club/my sheet.rules", "--game", "club/my game.toml").status == 0
    assert wordtight("check", "club/my sheet.rules", "--game", "my game.toml").status == 2


def test_the_next_command_names_the_file_of_a_game_as_it_can_be_typed():
    """Where a seat is lost from the start, the next command is about the game, which may be of the class's own."""
    Path("club").mkdir()
    Path("club/my game.toml").write_text(GAME, encoding="utf-8")
    sheet = "game: my game.toml\nseat: second\ntake any free cell\n"
    Path("club/my.rules").write_text(sheet, encoding="utf-8")
    for command in ("prove", "explain", "repair"):
        ran = wordtight(command, "club/my.rules")
        following = re.search(r"^Next: wordtight solve (.+?)(?:  \(|$)", ran.out, re.MULTILINE)
        assert following[1] == '"club/my game.toml"', command


@pytest.mark.parametrize("seat", ["first", "second", "both"])
def test_a_sheet_for_both_seats_can_be_asked_about_each(seat):
    sheet = "game: noughts-and-crosses\nseat: both\ncomplete a line\nblock a line\ntake any free cell\n"
    Path("my.rules").write_text(sheet, encoding="utf-8")
    told = json.loads(wordtight("prove", "my.rules", "--json", "--seat", seat).out)
    assert [each["seat"] for each in told.get("seats", [told])] == (
        ["first", "second"] if seat == "both" else [seat]
    )
