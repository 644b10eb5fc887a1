"""What is measured: games of each kind of layout, and how the yardstick is told to solve the same.

The yardstick is a folder of C++ programs that solve such games; see benchmarks/README.md.
"""

from __future__ import annotations

from typing import NamedTuple


class Workload(NamedTuple):
    """A game to solve.

    game: the text of a .toml file, or the name of a .py file beside this one; program: what solves the same in the
    yardstick, and its arguments but for the number of repeats; aim: what we mean to reach; rival: whether the
    yardstick is run (the largest game is measured alone); big: only with --big; plainly: with the fast layouts
    switched off, by nothing but the functions on arrays that the game gives.
    """

    title: str
    game: str
    program: tuple[str, ...]
    aim: str
    rival: bool = True
    big: bool = False
    plainly: bool = False


def marks(columns: int, rows: int, in_a_row: int, *, falling: bool = False) -> str:
    """A game in which marks are placed, or fall in their columns."""
    lines = ['family = "marks"', f"columns = {columns}", f"rows = {rows}", f"in-a-row = {in_a_row}"]
    return _file([*lines, "gravity = true"] if falling else lines)


def slide(columns: int, rows: int, men: int, in_a_row: int) -> str:
    """A game in which men are placed and then slid along rows and columns."""
    lines = ['family = "steps"', f"columns = {columns}", f"rows = {rows}", f"in-a-row = {in_a_row}"]
    return _file([*lines, f"men = {men}"])


def _file(lines: list[str]) -> str:
    return "\n".join(['kind = "game"', *lines, ""])


_FOUR_BY_FOUR = ("halves", "4", "4", "4", "0")

WORKLOADS = {
    "four-by-four": Workload("four in a row on 4 x 4", marks(4, 4, 4), _FOUR_BY_FOUR, "2 x, 100 MB"),
    "five-by-three": Workload(
        "four in a row on 5 x 3", marks(5, 3, 4), ("halves", "5", "3", "4", "0"), "1.6 x"
    ),
    "falling-5x4": Workload(
        "falling four on 5 x 4", marks(5, 4, 4, falling=True), ("halves", "5", "4", "4", "1"), "3 x"
    ),
    "slide-4x4": Workload(
        "four men on 4 x 4", slide(4, 4, 4, 4), ("slide", "4", "4", "4", "4"), "3 x, 100 MB"
    ),
    "functions": Workload(
        "four in a row on 4 x 4, by functions alone",
        marks(4, 4, 4),
        _FOUR_BY_FOUR,
        "300 ns each, 500 MB",
        plainly=True,
    ),
    "own-game": Workload(
        "the same as a Python file of one's own", "four_by_four.py", _FOUR_BY_FOUR, "300 ns each, 500 MB"
    ),
    "falling-5x5": Workload(
        "falling four on 5 x 5",
        marks(5, 5, 4, falling=True),
        ("halves", "5", "5", "4", "1"),
        "2 x, 400 MB",
        big=True,
    ),
    "slide-5x5": Workload(
        "four men on 5 x 5", slide(5, 5, 4, 4), ("slide", "5", "5", "4", "4"), "2.5 x, 2 GB", big=True
    ),
    "five-by-four": Workload(
        "four in a row on 5 x 4",
        marks(5, 4, 4),
        ("halves", "5", "4", "4", "0"),
        "finishes in 2 GB",
        rival=False,
        big=True,
    ),
}
