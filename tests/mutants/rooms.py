"""What is mutated, and which tests are asked about it."""

from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent

HOLDERS = {
    "games": ("games", "tests/games", "tests/bad"),
    "solver/sheet": (
        "solver/sheet",
        "tests/solver/test_parser.py",
        "tests/solver/test_rules.py",
        "tests/solver/test_load.py",
    ),
    "solver/least": ("solver/least", "tests/solver/least"),
    "solver/repair": ("solver/repair", "tests/solver/repair"),
    "solver": ("solver", "tests/solver/test_*.py"),
    "budget/encodings": (
        "budget/encodings",
        "tests/budget/test_encodings*.py",
        "tests/budget/test_hashing.py",
        "tests/budget/test_diagrams.py",
        "tests/budget/test_packing.py",
        "tests/budget/test_weights.py",
        "tests/budget/lowering/test_words.py",
    ),
    "budget/lowering": ("budget/lowering", "tests/budget/lowering", "tests/budget/test_closing.py"),
}
"""For each part of the house, without the parts in it, where its tests lie; first itself, for its examples.

Other tests go through this code too.  To ask them all would take weeks; a mutant that only they would notice is
reported as a survivor, so the figures err on the strict side.
"""

MADE = {"solver/sheet/tables.py"}
"""Modules that a tool has made: `make grammar` makes them anew, and a test holds them against it."""


class CannotTry(Exception):
    """A module that was asked for is not there, or the tests do not pass as they are."""


def modules(asked: Sequence[str] = ()) -> list[str]:
    """The paths of the modules that begin with one of these words, or of all; CannotTry if a word finds nothing."""
    lying = [
        (part, path.relative_to(ROOT).as_posix())
        for part in HOLDERS
        for path in sorted((ROOT / part).rglob("*.py"))
    ]
    every = [module for part, module in lying if part_of(module) == part and module not in MADE]
    for word in asked:
        if not any(module.startswith(word) for module in every):
            raise CannotTry(
                f"there is no module '{word}'; expected the beginning of a path, as in games/marks"
            )
    return [module for module in every if not asked or module.startswith(tuple(asked))]


def part_of(module: str) -> str:
    """The smallest part of the house that this module lies in."""
    return max((part for part in HOLDERS if module.startswith(part + "/")), key=len)
