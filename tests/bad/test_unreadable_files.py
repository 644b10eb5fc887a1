"""Files that cannot stand in the corpus: too large, out of reach, or not there at all."""

import os
from pathlib import Path

import pytest

from games.tomlfile import LARGEST_FILE
from tests.workbench.running import wordtight

NOBODY = 65534
"""The number of an account without rights, where tests run as root, who may read everything."""
READERS = ("check", "prove", "show", "solve")


@pytest.fixture(autouse=True)
def in_an_empty_folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)


def said_by(reader, name):
    ran = wordtight(reader, name)
    assert (ran.status, ran.out) == (2, "")
    assert ran == wordtight(reader, name, "--json")
    [line] = ran.err.splitlines()
    return line


def endings(reader):
    return (".toml",) if reader in ("show", "solve") else (".rules", ".csv")


@pytest.mark.parametrize("reader", READERS)
def test_a_file_that_is_too_large(reader):
    for ending in endings(reader):
        name = f"large{ending}"
        with Path(name).open("wb") as file:
            file.truncate(LARGEST_FILE + 1)  # takes no room on the disk
        assert said_by(reader, name) == f"{name}: is larger than 1,000,000 bytes; expected a small text file"


@pytest.mark.parametrize("reader", READERS)
def test_one_endless_line(reader):
    for ending in endings(reader):
        name = f"endless{ending}"
        Path(name).write_text("take " * (LARGEST_FILE // 5), encoding="utf-8")
        for line in wordtight(reader, name).err.splitlines():
            assert len(line) < 500


@pytest.mark.parametrize("reader", READERS)
def test_many_mistakes_are_all_told(reader):
    if reader in ("show", "solve"):
        Path("many.toml").write_text("kind = 'game'\nfamily = 'marks'\ncolumns = 3\nrows = 3\nin-a-row = 3\n"
                                     + "".join(f"wrong{number} = 1\n" for number in range(300)))  # fmt: skip
        assert len(wordtight(reader, "many.toml").err.splitlines()) == 300
    else:
        Path("many.rules").write_text("game: noughts-and-crosses\nseat: second\n" + "take the middle\n" * 300)
        assert len(wordtight(reader, "many.rules").err.splitlines()) == 3 * 300


@pytest.mark.skipif(os.name != "posix", reason="needs permissions as POSIX has them")
@pytest.mark.parametrize("reader", READERS)
def test_a_file_that_may_not_be_read(reader, tmp_path):
    name = f"secret{endings(reader)[0]}"
    Path(name).write_text("take the centre\n", encoding="utf-8")
    Path(name).chmod(0)
    for folder in (tmp_path, *tmp_path.parents[:2]):
        folder.chmod(0o755)  # pytest's own folders, which it makes for one account alone
    wordtight(reader, name)  # loads what is needed while it may be read
    as_root = os.geteuid() == 0
    if as_root:
        os.seteuid(NOBODY)
    try:
        assert said_by(reader, name) == f"{name}: cannot be read: the system does not permit it"
    finally:
        if as_root:
            os.seteuid(0)


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("name", ["no-such", "no/such/folder/file", "file/below", "x" * 300])
def test_a_file_that_is_not_there(reader, name):
    Path("file").touch()
    for ending in endings(reader):
        said = said_by(reader, name + ending)
        assert said.startswith(f"{name}{ending}: cannot be read: ")
        assert said.endswith("there is no such file") or len(name) == 300


@pytest.mark.parametrize("name", ["x" * 300, "x" * 300 + ".toml", "no/such/folder/file.toml", "", " "])
@pytest.mark.parametrize("option", ["--house-rules", "--game"])
def test_a_name_that_can_be_none(name, option):
    Path("my.rules").write_text("seat: second\ntake the centre\n", encoding="utf-8")
    more = () if option == "--game" else ("--game", "noughts-and-crosses")
    ran = wordtight("prove", "my.rules", option, name, *more)
    assert (ran.status, ran.out) == (2, "")
    [line] = ran.err.splitlines()
    called = "there is no game called" if option == "--game" else "there are no house rules called"
    assert called in line or f"{name}: cannot be read: " in line


@pytest.mark.parametrize("reader", ["show", "solve"])
def test_a_folder_in_place_of_a_game(reader):
    Path("folder.toml").mkdir()
    assert said_by(reader, "folder.toml") == "folder.toml: cannot be read: it is a folder"
