"""*Stop a double threat* in a C program, in all its ways, and the count of lines through a cell that it needs."""

from collections.abc import Sequence

from budget.c90.marks import MarksBoard
from budget.c90.setting import Setting
from solver import meanings as means

DOUBLES = """
/* How many double-threat cells the visitor has. */
static byte doubles(void)
{
    byte cell, count = 0;

    for (cell = 0; cell < CELLS; ++cell)
        if (board[cell] == 0 && pairs(cell, (LENGTH - 2) * VISITORS) >= 2)
            ++count;
    return count;
}
"""
CLEARS = """
/* Whether a mark here leaves the visitor without a double-threat cell. */
static byte clears(byte cell)
{
    byte left;

    board[cell] = MINE;
    left = doubles();
    board[cell] = 0;
    return left == 0;
}
"""
SAFE = """
/* Whether a mark here makes a threat, and no answer to it gives the visitor two. */
static byte safe(byte cell)
{
    byte answer, found = 0;

    board[cell] = MINE;
    for (answer = 0; answer < CELLS; ++answer)
        if (board[answer] == 0 && pairs(answer, (LENGTH - 1) * MINE) != 0) {
            board[answer] = VISITORS;
            found = threats((LENGTH - 1) * VISITORS) < 2;
            board[answer] = 0;
            if (!found)
                break;
        }
    board[cell] = 0;
    return found;
}
"""
_THREAT = "pairs(move, (LENGTH - 2) * MINE) != 0"
_THEIRS = "pairs(move, (LENGTH - 2) * VISITORS) >= 2"
_TESTS = {
    means.OCCUPYING: _THEIRS,
    means.ONLY_ONE: f"doubles() == 1 && {_THEIRS}",
    means.CLEARING: "clears(move)",
    means.ANY_THREAT: _THREAT,
    means.SAFE_THREAT: "safe(move)",
    means.CLEARING_THREAT: f"{_THREAT} && clears(move)",
    means.OCCUPYING_THREAT: f"{_THREAT} && {_THEIRS}",
}


def pairs(setting: Setting, board: MarksBoard) -> str:
    """The name of a function that counts the lines through a free cell whose marks add up to a sum."""
    body = board.each_line(
        "sum = through = 0;",
        "sum += board[cell];\n            if (cell == through_cell)\n                through = 1;",
        "if (through && sum == wanted)\n            ++count;",
        "sum",
        "through",
        "count = 0",
    )
    return setting.text.function(
        "pairs",
        f"""
/* How many lines through a free cell have marks that add up to this. */
static byte pairs(byte through_cell, byte wanted)
{{{body}
    return count;
}}""",
    )


class Stopping:
    """Writes the rule."""

    def __init__(self, setting: Setting, board: MarksBoard) -> None:
        self._text = setting.text
        self._board = board
        pairs(setting, board)
        self._text.function("doubles", DOUBLES)

    def answer(self, meaning: means.StopsDoubleThreat) -> None:
        """Where the visitor has such a cell: the first cell that a way of the first group that allows any allows."""
        used = {way for group in meaning.ways for way in group}
        if used & {means.CLEARING, means.CLEARING_THREAT}:
            self._text.function("clears", CLEARS)
        if means.SAFE_THREAT in used:
            self._write_threats()
            self._text.function("safe", SAFE)
        groups = "\n".join(_tried(group) for group in meaning.ways)
        indented = groups.replace("\n", "\n    ")
        self._text.put(f"if (doubles() != 0) {{\n    {indented}\n}}")

    def _write_threats(self) -> None:
        body = self._board.each_line(
            "sum = 0;", "sum += board[cell];", "if (sum == wanted)\n            ++count;", "sum", "count = 0"
        )
        self._text.function(
            "threats",
            f"""
/* How many lines have marks that add up to this. */
static byte threats(byte wanted)
{{{body}
    return count;
}}""",
        )


def _tried(group: Sequence[str]) -> str:
    """The first free cell that one of the ways allows."""
    tests = " || ".join(f"({_TESTS[way]})" for way in group)
    return (
        f"for (move = 0; move < CELLS; ++move)\n    if (board[move] == 0 && ({tests}))\n        goto found;"
    )
