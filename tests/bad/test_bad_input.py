"""Every malformed input is answered by one clear line for each mistake and by exit status 2.

The corpus is the files in the folders beside this one; index.toml says what must be told about each.  A new case
is a file and a line there.
"""

import re
import tomllib
from itertools import pairwise
from pathlib import Path

import pytest

from tests.workbench.running import wordtight

HERE = Path(__file__).parent
INDEX = tomllib.loads((HERE / "index.toml").read_text(encoding="utf-8"))
COMMAND_LINES = INDEX.pop("command-lines")
CASES = [(folder, name) for folder, files in INDEX.items() for name in files]
READERS = {
    "sheets": ("check", "prove"),
    "tables": ("check", "prove"),
    "games": ("check", "show", "solve"),
    "house-rules": ("check", "prove ../beside/good.rules --house-rules"),
    "house-rules-wide": ("check --game four-by-three", "prove ../beside/wide.rules --house-rules"),
    "unknown-kinds": ("check",),
    "programs": ("assemble --machine twelve-bit", "run --machine twelve-bit"),
}
"""The commands that read the files of a folder; all must say the same."""
LONGEST_LINE = 500
INDENT = "    "
EXPECTED = re.compile(r"(?P<place>(?:[^ ]*\.(?:toml|csv))?[:0-9]*): (?P<message>.*)")
PLACED = re.compile(r"(?P<file>.*?):(?P<line>\d+):(?P<column>\d+): ")


def said(told):
    """What a case must say, as a list."""
    return [told] if isinstance(told, str) else told


def problem_lines(err):
    """The lines that tell a mistake, without those that show its place."""
    lines = err.removesuffix("\n").split("\n")
    assert not lines[0].startswith(INDENT)
    for number, (before, line) in enumerate(pairwise(lines)):
        if line.startswith(INDENT) and not before.startswith(INDENT):
            assert_caret(before, line, lines[number + 2])
    return [line for line in lines if not line.startswith(INDENT)]


def assert_caret(problem, shown, caret):
    """The caret stands below the character that the problem's column names."""
    assert caret.strip() == "^"
    place = PLACED.match(problem)
    source = Path(place["file"]).read_bytes().decode("utf-8-sig").replace("\r\n", "\n").split("\n")
    character = source[int(place["line"]) - 1][int(place["column"]) - 1 :][:1] or " "
    above = shown.ljust(len(caret))[len(caret) - 1]
    assert above == (character if character.isprintable() else above), problem


def assert_told(err, file, expected):
    """One line for each mistake, each with its place and the whole message, and nothing else."""
    problems = problem_lines(err)
    assert len(problems) == len(expected), err
    for problem, text in zip(problems, expected, strict=True):
        told = EXPECTED.fullmatch(text)
        begin = f"{file}:{told['place']}: " if told["place"][:1].isdigit() else f"{told['place'] or file}: "
        assert problem == begin + told["message"]
        assert problem.isprintable(), "a message is plain text on one line, whatever the file holds"
        assert len(problem) < LONGEST_LINE, "nobody reads a longer line aloud"


def check_malformed_file(folder, name, expected):
    for reader in READERS[folder]:
        ran = wordtight(*reader.split(), name)
        assert (ran.status, ran.out) == (2, ""), ran
        assert_told(ran.err, name, expected)
        if reader != "show":
            assert wordtight(*reader.split(), name, "--json") == ran


def check_command_line(line, expected):
    for kind, name in (("rules", "my.rules"), ("house-rules", "my-house-rules.toml")):
        assert wordtight("new", kind, "-o", name).status == 0
    before = {path: path.read_bytes() for path in Path().iterdir()}
    ran = wordtight(*line.split())
    assert (ran.status, ran.out) == (2, ""), ran
    problems = problem_lines(ran.err)
    assert len(problems) == len(expected), ran.err
    for problem, part in zip(problems, expected, strict=True):
        assert part in problem
        assert problem.isprintable()
    assert {path: path.read_bytes() for path in Path().iterdir()} == before


@pytest.mark.parametrize(("folder", "name"), CASES, ids=[f"{folder}/{name}" for folder, name in CASES])
def test_malformed_file(folder, name, monkeypatch):
    monkeypatch.chdir(HERE / folder)
    check_malformed_file(folder, name, said(INDEX[folder][name]))


@pytest.mark.parametrize("line", COMMAND_LINES)
def test_unusable_command_line(line, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    check_command_line(line, said(COMMAND_LINES[line]))


def test_every_file_of_the_corpus_has_its_line_and_nothing_was_written_beside_them():
    for folder in READERS:
        assert {path.name for path in (HERE / folder).iterdir()} == set(INDEX[folder])


def test_the_corpus_is_large():
    assert len(CASES) + len(COMMAND_LINES) >= 50
