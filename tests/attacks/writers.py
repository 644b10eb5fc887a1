"""Commands that write one file, or one folder, that people keep: what each is given, and what it makes."""

from pathlib import Path
from typing import NamedTuple

GOOD = "game: two-by-two\nseat: first\n\ncomplete a line\ntake a1\ntake any free cell\n"
WEAK = "game: two-by-two\nseat: first\n\ntake a1\ntake b1\n"
ORDERS = "start: set 1\n output\n halt\n"
THREE = 'kind = "game"\nfamily = "take"\nplay = "heaps"\nheaps = [3]\ntake = [1, 2]\n'
TALKS = """\
free = ["a2", "b1", "b2"]
print("I PLAY A1\\nYOUR MOVE", flush=True)
free.remove(input())
print("I PLAY", free[0].upper())
print("I WIN")
"""
"""A program for two-by-two that moves first: of any two cells that it then has, both are in a line."""


class Writer(NamedTuple):
    """A command: its words, the file or folder that it makes, and whether it can be told to write over one."""

    words: tuple[str, ...]
    makes: str
    can_force: bool = True

    @property
    def again(self) -> tuple[str, ...]:
        """The same where something is there already."""
        return (*self.words, "--force")


MACHINE = ("--machine", "twelve-bit")
WRITERS = {
    "new": Writer(("new", "rules", "-o", "made.rules"), "made.rules"),
    "build": Writer(("build", "my.orders", *MACHINE, "-o", "made"), "made"),
    "prove": Writer(("prove", "my.rules", "--evidence", "made.evidence"), "made.evidence", can_force=False),
    "explain": Writer(("explain", "weak.rules", "--answers", "made.txt"), "made.txt"),
    "tighten": Writer(("tighten", "two-by-two", "--seat", "first", "-o", "made.rules"), "made.rules"),
    "paper": Writer(("paper", "my.rules", "cutouts", "-o", "made.html"), "made.html"),
    "graph": Writer(("graph", "two-by-two", "-o", "made.svg"), "made.svg"),
    "report": Writer(("report", "my.rules", "-o", "made.html"), "made.html"),
    "repair": Writer(("repair", "weak.rules", "-o", "made.rules"), "made.rules"),
    "plan": Writer(("plan", "three.toml", "--seat", "second", *MACHINE, "-o", "made.rules"), "made.rules"),
    "drill": Writer(
        (
            "drill",
            "talks.py",
            "--game",
            "two-by-two",
            "--seat",
            "first",
            "--wrong",
            "0",
            "--junit",
            "made.xml",
        ),
        "made.xml",
    ),
}


def lay_out(folder: Path) -> None:
    """Put the files into a folder that the commands read."""
    files = {
        "my.rules": GOOD,
        "weak.rules": WEAK,
        "my.orders": ORDERS,
        "three.toml": THREE,
        "talks.py": TALKS,
    }
    for name, text in files.items():
        (folder / name).write_text(text, encoding="utf-8")


def contents(folder: Path) -> dict[str, bytes]:
    """All files below a folder by their names there, and empty folders with nothing."""
    found = {str(each.relative_to(folder)): each for each in sorted(folder.rglob("*"))}
    return {name: each.read_bytes() if each.is_file() else b"" for name, each in found.items()}
