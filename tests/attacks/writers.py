"""Commands that write one file, or one folder, that people keep: what each is given, and what it makes."""

from pathlib import Path
from typing import NamedTuple

GOOD = "game: two-by-two\nseat: first\n\ncomplete a line\ntake a1\ntake any free cell\n"
WEAK = "game: two-by-two\nseat: first\n\ntake a1\ntake b1\n"
PROGRAM = "start: set 1\n output\n halt\n"


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
}


def lay_out(folder: Path) -> None:
    """Put the files into a folder that the commands read."""
    for name, text in {"my.rules": GOOD, "weak.rules": WEAK, "my.orders": PROGRAM}.items():
        (folder / name).write_text(text, encoding="utf-8")


def contents(folder: Path) -> dict[str, bytes]:
    """All files below a folder by their names there, and empty folders with nothing."""
    found = {str(each.relative_to(folder)): each for each in sorted(folder.rglob("*"))}
    return {name: each.read_bytes() if each.is_file() else b"" for name, each in found.items()}
