"""The house is in order: everything in the rooms is packed, and the project files agree with each other."""

import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
SETUPTOOLS = PROJECT["tool"]["setuptools"]
ROOMS = ["games", "solver", "budget", "workbench"]


def in_rooms(pattern: str) -> list[Path]:
    return [
        path.relative_to(ROOT)
        for room in ROOMS
        for path in sorted((ROOT / room).rglob(pattern))
        if path.is_file() and "__pycache__" not in path.parts
    ]


def test_developers_are_told_of_every_target_of_make():
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    told = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z]+):.*##", makefile, re.MULTILINE)) - {"help"}
    assert set(re.findall(r"^\| `make ([a-z]+)` \|.*\|.*\|$", told, re.MULTILINE)) == targets


def test_every_package_is_listed():
    found = {".".join(path.parent.parts) for path in in_rooms("*.py")}
    assert found == set(SETUPTOOLS["packages"])


def test_every_data_file_is_listed():
    listed = {
        path.relative_to(ROOT)
        for package, patterns in SETUPTOOLS["package-data"].items()
        for pattern in patterns
        for path in (ROOT / package.replace(".", "/")).glob(pattern)
    }
    assert {path for path in in_rooms("*") if path.suffix != ".py"} == {
        path for path in listed if path.suffix != ".py"
    }


@pytest.mark.parametrize(
    ("package", "pattern"),
    [(package, pattern) for package, patterns in SETUPTOOLS["package-data"].items() for pattern in patterns],
)
def test_no_listed_pattern_is_empty(package, pattern):
    assert list((ROOT / package.replace(".", "/")).glob(pattern))


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_says_that_it_is_typed(room):
    assert (ROOT / room / "py.typed").exists()


def test_tools_know_the_same_rooms():
    tool = PROJECT["tool"]
    assert tool["mypy"]["files"] == ROOMS
    assert tool["coverage"]["run"]["source_pkgs"] == ROOMS
    assert tool["importlinter"]["root_packages"] == ROOMS
    assert tool["importlinter"]["contracts"][0]["layers"] == ROOMS[::-1]


@pytest.mark.parametrize("pattern", ["catalogue/*.toml", "house_rules/*.toml", "templates/*"])
def test_what_people_copy_and_what_the_console_says_is_plain_ascii(pattern):
    for path in in_rooms(pattern):
        assert (ROOT / path).read_text(encoding="utf-8").isascii(), path
