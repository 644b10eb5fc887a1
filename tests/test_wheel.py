"""Wheel and source archive carry what they should, and work in an environment of their own, without any other tool."""

import os
import shutil
import subprocess
import sys
import tarfile
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
FILES = [
    "pyproject.toml",
    "MANIFEST.in",
    "README.md",
    "LICENSE",
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "Makefile",
    "mkdocs.yml",
]
BESIDE = ["docs", "examples", "tests", "benchmarks"]
ROOMS = ["games", "solver", "budget", "workbench"]
SCRIPTS = "Scripts" if os.name == "nt" else "bin"

pytestmark = pytest.mark.long


def run(*command: object, folder: Path, **changes: str) -> str:
    done = subprocess.run(
        [*map(str, command)],
        cwd=folder,
        env={**os.environ, **changes},
        capture_output=True,
        encoding="utf-8",
        check=False,
        stdin=subprocess.DEVNULL,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def built(tmp_path_factory):
    """A source archive and its wheel, from a copy, so that nothing left by earlier builds gets in."""
    source, target = tmp_path_factory.mktemp("source"), tmp_path_factory.mktemp("built")
    for name in FILES:
        shutil.copy(ROOT / name, source)
    for folder in (*ROOMS, *BESIDE):
        shutil.copytree(ROOT / folder, source / folder, ignore=shutil.ignore_patterns("__pycache__"))
    run(
        sys.executable, "-m", "build", "--outdir", target, source, folder=source
    )  # the wheel from the archive
    return target


@pytest.fixture(scope="module")
def wheel(built):
    (path,) = built.glob("wordtight-*.whl")
    return path


@pytest.fixture(scope="module")
def unpacked(built, tmp_path_factory):
    """What is in the source archive."""
    (path,) = built.glob("wordtight-*.tar.gz")
    folder = tmp_path_factory.mktemp("unpacked here")
    with tarfile.open(path) as archive:
        archive.extractall(folder, filter="data")
    (root,) = folder.iterdir()
    return root


@pytest.fixture(scope="module")
def installed(wheel, tmp_path_factory):
    """The scripts folder of an empty environment into which only the wheel was installed."""
    folder = tmp_path_factory.mktemp("empty environment")
    run(sys.executable, "-m", "venv", folder / "venv", folder=folder)
    scripts = folder / "venv" / SCRIPTS
    run(scripts / "python", "-m", "pip", "install", "--quiet", wheel, folder=folder)
    return scripts


def test_wheel_carries_the_rooms_whole(wheel):
    on_disk = {
        path.relative_to(ROOT).as_posix()
        for room in ROOMS
        for path in (ROOT / room).rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    packed = set(zipfile.ZipFile(wheel).namelist())
    assert {name for name in packed if ".dist-info/" not in name} == on_disk


def test_wheel_carries_the_licence(wheel):
    assert any(name.endswith("/LICENSE") for name in zipfile.ZipFile(wheel).namelist())


def test_installed_command_says_what_it_can_do(installed, tmp_path):
    assert run(installed / "wordtight", "--help", folder=tmp_path).startswith("Usage: wordtight")


def test_installed_command_does_the_main_job(installed, tmp_path):
    """Each of these reads a data file out of the installed package."""
    run(installed / "wordtight", "show", "noughts-and-crosses", folder=tmp_path)
    run(installed / "wordtight", "new", "rules", folder=tmp_path)
    (sheet,) = tmp_path.iterdir()
    run(installed / "wordtight", "check", sheet.name, folder=tmp_path)


def test_installed_library_is_whole_without_the_checkout(installed, tmp_path):
    where = run(
        installed / "python",
        "-c",
        "import games, solver.sheet, budget, workbench; print(games.__file__)",
        folder=tmp_path,
    )
    assert str(ROOT) not in where


def test_the_demo_runs_where_no_other_tool_is(installed, unpacked):
    """The source archive's demo, with the installed wheel alone: no compiler, assembler or emulator can be found."""
    said = run(installed / "python", "examples/demo.py", folder=unpacked, PATH="", PYTHONPATH="")
    assert said.rstrip().endswith("The demo is done.")


def test_the_source_archive_carries_what_the_repository_does(unpacked):
    for folder in (*ROOMS, *BESIDE):
        on_disk = {
            path.relative_to(ROOT).as_posix()
            for path in (ROOT / folder).rglob("*")
            if path.is_file() and "__pycache__" not in path.parts
        }
        packed = {
            path.relative_to(unpacked).as_posix() for path in (unpacked / folder).rglob("*") if path.is_file()
        }
        assert packed == on_disk
    assert all((unpacked / name).is_file() for name in FILES)
