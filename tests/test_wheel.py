"""The wheel carries everything that the rooms hold, and works in an environment of its own."""

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
ROOMS = ["games", "solver", "budget", "workbench"]
SCRIPTS = "Scripts" if os.name == "nt" else "bin"

pytestmark = pytest.mark.long


def run(*command: object, folder: Path) -> str:
    done = subprocess.run(
        [*map(str, command)],
        cwd=folder,
        capture_output=True,
        encoding="utf-8",
        check=False,
        stdin=subprocess.DEVNULL,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def wheel(tmp_path_factory):
    """A wheel built from a copy of the sources, so that nothing left by earlier builds gets in."""
    source, target = tmp_path_factory.mktemp("source"), tmp_path_factory.mktemp("wheel")
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copy(ROOT / name, source)
    for room in ROOMS:
        shutil.copytree(ROOT / room, source / room, ignore=shutil.ignore_patterns("__pycache__"))
    run(sys.executable, "-m", "pip", "wheel", "--no-deps", "--wheel-dir", target, source, folder=source)
    (path,) = target.glob("wordtight-*.whl")
    return path


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
