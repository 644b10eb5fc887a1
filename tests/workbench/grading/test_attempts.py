"""Which files of a folder are attempts, and what they are called."""

import os

import pytest

from games.problems import BadInput
from workbench.grading.attempts import PROGRAM, RULES, TABLE, UNKNOWN, attempts_in


def fill(folder, *names, text="take any free cell\n"):
    for name in names:
        (folder / name).write_text(text, encoding="utf-8")


def found(folder, **options):
    return {each.name: each.kind for each in attempts_in(folder, **options)}


def test_each_file_is_what_its_ending_says(tmp_path):
    fill(
        tmp_path, "a.rules", "b.txt", "c", "d.csv", "e.py", "f.SH", "g.pl", "h.pdf", ".hidden", "~draft.rules"
    )
    fill(tmp_path, "conversation.toml", "my-house-rules.toml")
    (tmp_path / "folder").mkdir()
    kinds = {"a": RULES, "b": RULES, "c": RULES, "d": TABLE, "e": PROGRAM, "f": PROGRAM, "g": PROGRAM}
    assert found(tmp_path) == {**kinds, "folder": UNKNOWN, "h": UNKNOWN}


@pytest.mark.skipif(os.name != "posix", reason="needs permissions as POSIX has them")
def test_what_may_be_run_is_a_program(tmp_path):
    fill(tmp_path, "a.out", "b", "c.rules")
    for name in ("a.out", "b", "c.rules"):
        (tmp_path / name).chmod(0o755)
    assert found(tmp_path) == {"a": PROGRAM, "b": PROGRAM, "c": RULES}


def test_files_of_a_kind_can_be_given_a_command(tmp_path):
    fill(tmp_path, "nim.BAS")
    [attempt] = attempts_in(tmp_path, starts={".bas": ["basic", "-q"]})
    assert (attempt.kind, attempt.command) == (PROGRAM, ("basic", "-q", str(tmp_path / "nim.BAS")))


def test_the_ending_is_told_where_a_name_is_not_one_attempts_alone(tmp_path):
    fill(tmp_path, "jo.rules", "JO.csv", "ek.rules")
    assert list(found(tmp_path)) == ["JO.csv", "ek", "jo.rules"]


def test_numbers_stand_for_names(tmp_path):
    fill(tmp_path, *(f"{name}.rules" for name in "abcdefghijk"))
    attempts = attempts_in(tmp_path, anonymous=True)
    assert [each.name for each in attempts] == [f"{number:02}" for number in range(1, 12)]
    assert attempts[10].path.endswith("k.rules")


def test_a_table_that_a_sheet_uses_is_part_of_it(tmp_path):
    fill(tmp_path, "a.rules", text='Use  table "a.csv"\ntake 1\n')
    fill(tmp_path, "a.csv", "b.csv", text="position,move\n")
    assert found(tmp_path) == {"a": RULES, "b": TABLE}
    [sheet, _] = attempts_in(tmp_path)
    before = sheet.digest()
    (tmp_path / "a.csv").write_text("position,move\n___/___/___,1\n", encoding="utf-8")
    assert sheet.digest() != before


def test_a_conversation_is_a_programs_own_or_the_folders_or_the_one_that_is_named(tmp_path):
    fill(tmp_path, "a.py", "b.py", "c.rules", "a.toml")
    assert [each.conversation for each in attempts_in(tmp_path)] == [str(tmp_path / "a.toml"), None, None]
    named = [each.conversation for each in attempts_in(tmp_path, conversation="named.toml")]
    assert named == [str(tmp_path / "a.toml"), "named.toml", None]
    fill(tmp_path, "conversation.toml")
    shared = [each.conversation for each in attempts_in(tmp_path, conversation="named.toml")]
    assert shared == [str(tmp_path / "a.toml"), str(tmp_path / "conversation.toml"), None]


def test_what_the_command_names_is_no_attempt(tmp_path):
    fill(tmp_path, "a.rules", "my_game.py")
    assert found(tmp_path, apart=[str(tmp_path / "my_game.py"), None]) == {"a": RULES}


@pytest.mark.parametrize(("name", "said"), [("none", "there is no such folder"), ("a.rules", "is no folder")])
def test_what_is_no_folder(tmp_path, name, said):
    fill(tmp_path, "a.rules")
    with pytest.raises(BadInput, match=said):
        attempts_in(tmp_path / name)


def test_an_empty_folder(tmp_path):
    fill(tmp_path, "conversation.toml")
    with pytest.raises(BadInput, match="holds no attempts"):
        attempts_in(tmp_path)
