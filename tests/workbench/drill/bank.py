"""Programs to drill: right ones and seeded faults, in a folder that whoever runs them may read."""

import shutil
import tempfile
from contextlib import contextmanager
from pathlib import Path
from subprocess import run

from workbench.drill.asked import make_ready
from workbench.drill.report import drill

PROGRAMS = Path(__file__).resolve().parents[2] / "faulty"
GAME = "noughts-and-crosses"


@contextmanager
def open_folder():
    """A folder that everybody may read: where tests run as root, programs run as somebody else."""
    folder = Path(tempfile.mkdtemp(prefix="wordtight-bank-"))
    folder.chmod(0o755)
    try:
        yield folder
    finally:
        shutil.rmtree(folder)


def placed(name, folder):
    """A program of the bank in a folder, compiled if it has to be."""
    source = shutil.copy(PROGRAMS / name, folder / name)
    Path(source).chmod(0o644)
    if not name.endswith(".c"):
        return str(source)
    target = folder / name.removesuffix(".c")
    run(["gcc", "-O1", "-o", str(target), str(source)], check=True)
    return str(target)


def written(text, folder, name="program.py"):
    """A program of a few lines."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    path.chmod(0o644)
    return str(path)


def drilled(
    command,
    *,
    game=GAME,
    seat="first",
    claim="never-loses",
    house="usual",
    conversation=None,
    patience=20_000,
    **how,
):
    """What a drill of a command finds.  patience: milliseconds for an answer, since the machine may be busy."""
    asked = make_ready(game, seat, claim, house, conversation)
    limits = asked.manner.limits._replace(milliseconds=patience)
    asked = asked._replace(manner=asked.manner._replace(limits=limits))
    return drill(asked, command, **{"wrong": 0, "seconds": 3600, "games": 0, **how})


def causes(found):
    """Which causes were found, by battery."""
    return {(fault.battery, fault.cause) for fault in found.faults}
