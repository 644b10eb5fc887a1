"""Which files of a folder are attempts, and what they are called."""

import os
from pathlib import Path

import pytest

from games.problems import BadInput
from games.tomlfile import LARGEST_FILE
from workbench.grading.attempts import PROGRAM, RULES, TABLE, UNKNOWN, attempts_in
from workbench.grading.handed_in import MOST_READ, name_of, tables_named, why_not_known


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
    assert list(found(tmp_path)) == ["ek", "JO.csv", "jo.rules"]


def test_names_stand_in_the_order_of_a_register(tmp_path):
    """Capital letters do not come before all small ones, whatever the system thinks."""
    fill(tmp_path, "ben.rules", "Zoë.rules", "Anna Reed.rules", "cy.rules")
    assert list(found(tmp_path)) == ["Anna Reed", "ben", "cy", "Zoë"]


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


ODD = [  # what it is, how it is made, what is said of it
    ("folder", lambda path: path.mkdir(), "this is a folder"),
    ("pipe", os.mkfifo if hasattr(os, "mkfifo") else None, "this is no file"),
    ("device", lambda path: path.symlink_to("/dev/zero"), "this is no file"),
    ("lost-link", lambda path: path.symlink_to("nowhere"), "a link that leads nowhere"),
    ("round-link", lambda path: path.symlink_to(path.name), "a link that leads nowhere"),
    ("picture", lambda path: path.with_suffix(".png").write_bytes(b"\x89PNG"), "no rule sheet"),
]


@pytest.mark.skipif(os.name != "posix", reason="needs files as POSIX has them")
@pytest.mark.parametrize(("name", "make", "said"), ODD, ids=[name for name, *_ in ODD])
def test_what_is_no_attempt_at_all_is_told_and_never_read(tmp_path, name, make, said):
    """A pipe would make its reader wait for ever, and /dev/zero has no end."""
    fill(tmp_path, "a.rules")
    make(tmp_path / f"{name}.rules")
    [_, odd] = attempts_in(tmp_path)
    assert (odd.name, odd.kind) == (name, UNKNOWN)
    assert said in why_not_known(odd.path)
    assert odd.digest() == odd.digest()


def test_what_is_too_large_for_a_sheet_is_not_read_to_its_end(tmp_path):
    fill(tmp_path, "a.rules", text='use table "a.csv"\n')
    with (tmp_path / "a.rules").open("ab") as file:
        file.truncate(LARGEST_FILE + 1)
    [sheet] = attempts_in(tmp_path)
    assert sheet.tables() == []
    before = sheet.digest()
    with (tmp_path / "a.rules").open("ab") as file:
        file.truncate(MOST_READ + 1)
    large = sheet.digest()
    with (tmp_path / "a.rules").open("ab") as file:
        file.truncate(MOST_READ + 2)
    assert len({before, large, sheet.digest()}) == 3


def test_a_table_that_no_file_can_be_called_is_none(tmp_path):
    (tmp_path / "a.rules").write_bytes(b'use table "a\0b.csv"\nuse table ""\nuse table "b.csv"\n')
    assert [Path(table).name for table in tables_named(str(tmp_path / "a.rules"))] == ["b.csv"]


def test_names_that_are_no_text(tmp_path):
    """Old archives hold names in other character sets; two of them stay two."""
    try:
        for byte in (b"\xe9", b"\xe8"):
            Path(os.fsdecode(os.fsencode(tmp_path) + b"/ren" + byte + b"e.rules")).touch()
    except (OSError, UnicodeError):
        pytest.skip("this system has no such names")
    attempts = attempts_in(tmp_path)
    assert [each.name for each in attempts] == ["ren\\xe8e", "ren\\xe9e"]
    assert len({each.digest() for each in attempts}) == 2
    assert not any(each.is_anonymous for each in attempts)


def test_a_name_of_two_lines_is_told_in_one():
    assert name_of("a\nb") == "a\\nb"
    assert name_of("Gruppe \u00fc") == "Gruppe \u00fc"
