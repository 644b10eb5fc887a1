"""`new` writes what works, never writes over anything unasked, and leaves nothing behind when it fails."""

import json
import os
from pathlib import Path

import pytest

from tests.workbench.running import wordtight
from workbench import files
from workbench.new import KINDS, template

NOBODY = 65534
"""The number of an account without rights, where tests run as root, for whom every folder is writable."""


@pytest.fixture(autouse=True)
def in_an_empty_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def contents():
    return {path.name: path.read_text(encoding="utf-8") for path in Path().iterdir()}


@pytest.mark.parametrize("kind", KINDS)
def test_every_example_is_well_written_and_checked(kind):
    ran = wordtight("new", kind)
    name = KINDS[kind].name
    assert (ran.status, ran.err) == (0, "")
    assert f"Written: {name}." in ran.out
    assert contents() == {name: template(kind)}
    assert template(kind).isascii()
    assert all(len(line) <= 80 for line in template(kind).split("\n"))
    checked = json.loads(wordtight("check", name, "--json").out)
    assert (checked["file"], checked["well_written"], checked["kind"]) == (name, True, kind)


@pytest.mark.parametrize(
    "kind", [pytest.param(kind, marks=pytest.mark.long if kind == "machine" else ()) for kind in KINDS]
)
def test_the_command_that_is_named_next_works_on_the_example(kind):
    wordtight("new", "rules", "-o", "my.rules", "--force")
    out = wordtight("new", kind, "--force").out
    following = out.partition("Next: wordtight ")[2].partition("  (")[0].split("\n")[0].split()
    ran = wordtight(*following)
    assert ran.err == ""
    assert ran.status in (0, 1)  # the first sheet has a hole


def test_nothing_is_written_over_unless_asked():
    Path("my.rules").write_text("mine", encoding="utf-8")
    ran = wordtight("new", "rules")
    assert (ran.status, ran.out) == (2, "")
    assert (
        ran.err
        == "my.rules: is there already; expected another name (-o NAME), or --force to write over it\n"
    )
    assert contents() == {"my.rules": "mine"}
    assert wordtight("new", "rules", "-o", "other.rules").status == 0
    assert (
        wordtight("new", "rules", "--force", "--json").out
        == '{\n  "kind": "rules",\n  "file": "my.rules"\n}\n'
    )
    assert contents() == {"my.rules": template("rules"), "other.rules": template("rules")}


@pytest.mark.skipif(os.name != "posix", reason="needs links and permissions as POSIX has them")
def test_a_link_to_nowhere_is_something_too():
    Path("my.rules").symlink_to("nowhere")
    assert wordtight("new", "rules").status == 2
    assert Path("my.rules").is_symlink()


@pytest.mark.skipif(os.name != "posix", reason="needs links and permissions as POSIX has them")
def test_a_folder_that_may_not_be_written_is_left_as_it_is(tmp_path, monkeypatch):
    folder = tmp_path / "shut"
    folder.mkdir()
    folder.chmod(0o555)
    tmp_path.chmod(0o755)
    for parent in tmp_path.parents[:2]:
        parent.chmod(0o755)  # pytest's own folders, which it makes for one account alone
    monkeypatch.chdir(folder)
    wordtight("new", "nothing")  # loads what is needed while it may be read
    as_root = os.geteuid() == 0
    if as_root:
        os.seteuid(NOBODY)
    try:
        ran = wordtight("new", "rules")
    finally:
        if as_root:
            os.seteuid(0)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err == "my.rules: cannot be written: the system does not permit it\n"
    assert contents() == {}


@pytest.mark.parametrize("failure", [OSError(28, "No space left on device"), KeyboardInterrupt()])
@pytest.mark.parametrize("there", [False, True])
def test_what_fails_half_way_leaves_the_old_file_and_nothing_else(monkeypatch, failure, there):
    if there:
        Path("my.rules").write_text("mine", encoding="utf-8")
    before = contents()

    def fails(*arguments):
        raise failure

    monkeypatch.setattr(files.Path, "replace", fails)
    ran = wordtight("new", "rules", "--force")
    assert ran.out == ""
    assert (ran.status, ran.err.strip()) == (
        (130, "interrupted")
        if isinstance(failure, KeyboardInterrupt)
        else (2, "my.rules: cannot be written: No space left on device")
    )
    assert contents() == before


def test_a_file_gets_the_permissions_of_any_new_file():
    wordtight("new", "rules")
    Path("other").write_text("", encoding="utf-8")
    assert Path("my.rules").stat().st_mode == Path("other").stat().st_mode


# What the examples promise ---------------------------------------------------------------------------------


def proof(name, *options):
    ran = wordtight("prove", name, "--json", *options)
    return ran.status, json.loads(ran.out)


def test_the_first_sheet_is_refuted_and_one_more_rule_mends_it():
    wordtight("new", "rules")
    status, told = proof("my.rules")
    assert (status, told["verdict"]) == (1, "refuted")
    assert told["first_losing_decision"]["rule"] == "take a corner"
    sheet = Path("my.rules").read_text(encoding="utf-8")
    Path("my.rules").write_text(
        sheet.replace("take the centre\n", "stop a double threat\ntake the centre\n"), encoding="utf-8"
    )
    status, told = proof("my.rules")
    assert (status, told["verdict"]) == (0, "proved")


def test_the_first_table_never_loses():
    wordtight("new", "table")
    status, told = proof("my-table.csv")
    assert (status, told["verdict"], told["seat"]) == (0, "proved", "first")
    rows = template("table").partition("position,move\n")[2].splitlines()
    assert told["answers"] == len(rows), "no row too many"


def test_every_rule_that_the_first_sheet_mentions_can_be_used():
    wordtight("new", "rules")
    _, _, others = template("rules").partition("# Other rules that you can use:\n")
    rules = [
        rule.strip()
        for line in others.splitlines()
        for rule in line.lstrip("# ").split("   ")
        if rule.strip()
    ]
    assert len(rules) >= 7
    for rule in rules:
        Path("one.rules").write_text(f"game: noughts-and-crosses\nseat: second\n{rule}\n", encoding="utf-8")
        assert wordtight("check", "one.rules").status == 0, rule


def test_every_class_that_the_first_house_rules_mention_can_be_used():
    from games.inputs import classes_of
    from games.load import load_game

    said = template("house-rules")
    assert all(name in said for name in classes_of(load_game("noughts-and-crosses")))


def test_a_sheet_can_begin_for_any_game_of_the_catalogue():
    from games.load import catalogue_names

    for name in catalogue_names():
        assert wordtight("new", "rules", "--game", name, "--force").status == 0
        assert f"game: {name}\n" in Path("my.rules").read_text("utf-8")
        assert wordtight("check", "my.rules").status == 0, name


@pytest.mark.parametrize(
    ("game", "seat"),
    [("three-mens-morris", "first"), ("nim-3-4-5", "first"), ("hexapawn", "second"), ("hex-three", "first")],
)
def test_a_sheet_begins_in_a_seat_that_can_be_held(game, seat):
    assert wordtight("new", "rules", "--game", game).status == 0
    _, told = proof("my.rules")
    assert (told["seat"], told["lost_from_start"]) == (seat, False)


def test_only_a_sheet_is_for_a_game():
    ran = wordtight("new", "table", "--game", "hexapawn")
    assert (ran.status, "only 'new rules' is for a game" in ran.err) == (2, True)
