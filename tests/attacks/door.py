"""A door: a place where something from outside comes in, and what may come of it."""

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from pathlib import Path
from typing import NamedTuple

from games.problems import BadInput

LONGEST_LINE = 500
"""Signs of a refusal besides the name of the file."""


class Door(NamedTuple):
    """One door.

    file: what the file is called that comes in.  good: files that are as they should be, made when they are asked for.
    enter: takes such a file as the commands do; it gives anything, or raises BadInput.
    """

    file: str
    good: Callable[[], list[bytes]]
    enter: Callable[[Path], object]

    def samples(self) -> list[bytes]:
        """The good files; they are made once."""
        return _made(self.good)


@cache
def _made(good: Callable[[], list[bytes]]) -> list[bytes]:
    return good()


def is_taken(door: Door, raw: bytes) -> bool:
    """Whether a door takes these bytes; what brings about a fault is not taken."""
    with tempfile.TemporaryDirectory(prefix="wordtight-door-") as folder:
        try:
            return knock(door, raw, Path(folder))
        except Exception:  # noqa: BLE001 - whatever it is, it will be told when it is tried
            return False


@contextmanager
def said_by(*refusals: type[Exception]) -> Iterator[None]:
    """Refusals of these kinds are in order, if they say something; the visit ends with them."""
    try:
        yield
    except refusals as refusal:
        if not str(refusal):
            raise AssertionError("a refusal that says nothing") from refusal


def knock(door: Door, raw: bytes, folder: Path) -> bool:
    """Bring some bytes through a door: whether they were taken.  Anything but a refusal in plain lines is raised."""
    file = folder / door.file
    file.parent.mkdir(exist_ok=True)
    file.write_bytes(raw)
    try:
        door.enter(file)
    except BadInput as refusal:
        told = [str(problem) for problem in refusal.problems]
    else:
        return True
    assert told, "a refusal that says nothing"
    for line in told:
        assert line, "an empty line"
        assert line.isprintable(), f"a line that steers the terminal: {line!r}"
        assert len(line) < LONGEST_LINE + len(str(file)), f"nobody reads a line of {len(line)} signs"
    return False
