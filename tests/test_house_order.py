"""The house is in order: everything in the rooms is packed, and the project files agree with each other."""

import ast
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
SETUPTOOLS = PROJECT["tool"]["setuptools"]
ROOMS = ["games", "solver", "budget", "workbench"]
MOST_LINES_OF_A_FUNCTION = 60
"""From its `def` to its last line; the decorators of a command, its options, are data and left out."""
MOST_LINES_OF_A_MODULE = 500


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


def test_make_help_and_the_page_for_developers_say_the_same_of_how_long_a_target_takes():
    makefile = (ROOT / "Makefile").read_text(encoding="utf-8")
    told = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    times = dict(re.findall(r"^\| `make ([a-z]+)` \|.*\| (.*) \|$", told, re.MULTILINE))
    helped = re.findall(r"^([a-z]+):.*## .*\(([^()]*)\)$", makefile, re.MULTILINE)
    assert len(helped) == len(times) - 1, "all but clean, which takes no time"
    for target, time in helped:
        assert times[target].startswith(time), target


def test_every_folder_is_in_the_drawing_of_the_house_and_every_module_there_is_in_the_tree():
    told = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for package in SETUPTOOLS["packages"]:
        folder = package.replace(".", "/")
        assert f"{folder}/" in told or f"`{folder.rpartition('/')[2]}/`" in told, folder
    files = [path for folder in (*ROOMS, "tests", "docs") for path in (ROOT / folder).rglob("*")]
    names = {path.relative_to(ROOT).as_posix() for path in files}
    for named in re.findall(r"`([\w/-]+\.(?:py|js|lark|json))`", told):
        assert any(name == named or name.endswith(f"/{named}") for name in names), named


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


def all_modules() -> dict[str, str]:
    """The text of every module, that of the tests and the documents too, by its name in the tree."""
    paths = [*in_rooms("*.py")]
    for folder in ("tests", "docs", "examples"):
        paths += [path.relative_to(ROOT) for path in sorted((ROOT / folder).rglob("*.py"))]
    return {path.as_posix(): (ROOT / path).read_text(encoding="utf-8") for path in paths}


def test_no_module_is_too_long_to_be_read_at_a_sitting():
    long = {name for name, text in all_modules().items() if text.count("\n") > MOST_LINES_OF_A_MODULE}
    assert long == set()


def may_hold_a_long_function(text: str) -> bool:
    """Whether some `def` is far from the next one that lies not inside it: this spares most modules the parser."""
    begun: list[tuple[int, int]] = []
    lines = text.split("\n")
    for number, line in enumerate([*lines, "def the_end"]):
        if line.lstrip().startswith(("def ", "async def ", "class ", "@")):
            depth = len(line) - len(line.lstrip())
            while begun and begun[-1][0] >= depth:
                if number - begun.pop()[1] >= MOST_LINES_OF_A_FUNCTION:
                    return True
            if "def " in line:
                begun.append((depth, number))
    return False


def long_functions(text: str) -> list[str]:
    return [
        f"{node.name} in line {node.lineno}"
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and (node.end_lineno or node.lineno) - node.lineno >= MOST_LINES_OF_A_FUNCTION
    ]


def test_every_function_fits_a_screen():
    found = {
        name: long_functions(text) for name, text in all_modules().items() if may_hold_a_long_function(text)
    }
    assert {name: functions for name, functions in found.items() if functions} == {}


@pytest.mark.parametrize("lines", [MOST_LINES_OF_A_FUNCTION, MOST_LINES_OF_A_FUNCTION + 1])
@pytest.mark.parametrize("before", ["", "class Outer:\n"], ids=["alone", "inside"])
@pytest.mark.parametrize("after", ["", "\n\ndef next_one():\n    pass\n"], ids=["last", "followed"])
def test_a_function_that_does_not_fit_is_found(lines, before, after):
    indent = "    " if before else ""
    body = "".join(f"{indent}    {number}\n" for number in range(lines - 1))
    text = f"{before}{indent}def tall():\n{body}{after}"
    is_long = lines > MOST_LINES_OF_A_FUNCTION
    assert bool(long_functions(text)) == is_long
    assert may_hold_a_long_function(text) or not is_long
