"""What is mutated, and which tests are asked about it."""

from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent

HOLDERS = {
    "games": ("games", "tests/games", "tests/bad"),
    "solver": ("solver", "tests/solver"),
    "budget/encodings": (
        "budget/encodings",
        "tests/budget/test_encodings.py",
        "tests/budget/test_hashing.py",
    ),
    "budget/lowering": ("budget/lowering", "tests/budget/lowering", "tests/budget/test_closing.py"),
}
"""For each part of the house where its tests lie; the part itself is named for the examples in its docstrings.

Other tests go through this code too.  To ask them all would take weeks; a mutant that only they would notice is
reported as a survivor, so the figures err on the strict side.
"""

MADE = {"solver/sheet/tables.py"}
"""Modules that a tool has made: `make grammar` makes them anew, and a test holds them against it."""


class CannotTry(Exception):
    """A module that was asked for is not there, or the tests do not pass as they are."""


def modules(asked: Sequence[str] = ()) -> list[str]:
    """The paths of the modules that begin with one of these words, or of all; CannotTry if a word finds nothing."""
    every = [
        path.relative_to(ROOT).as_posix()
        for part in HOLDERS
        for path in sorted((ROOT / part).rglob("*.py"))
        if path.relative_to(ROOT).as_posix() not in MADE
    ]
    for word in asked:
        if not any(module.startswith(word) for module in every):
            raise CannotTry(
                f"there is no module '{word}'; expected the beginning of a path, as in games/marks"
            )
    return [module for module in every if not asked or module.startswith(tuple(asked))]


def part_of(module: str) -> str:
    """The part of the house that this module lies in."""
    return next(part for part in HOLDERS if module.startswith(part + "/"))
