"""The board of a game of marks in a C program: a byte for each cell, and lines whose marks are added up.

A free cell is 0, a mark of the machine's 1, one of the visitor's one more than a line is long: so the sum of a line
tells how many marks of each it holds.
"""

from collections.abc import Mapping, Sequence

from budget.c90.setting import Setting, steps_of
from budget.lowering.ground import DRAWN, MACHINE, VISITOR, by_last_mover
from games.inputs import BY_MACHINE, BY_VISITOR

STEPS, PACKED, LISTED = "first cells and steps", "a cell and a step in a byte", "all cells"
SIGNS = {MACHINE: "MINE", VISITOR: "VISITORS"}
COUNTED, SOUGHT = "counted", "sought"
EACH_LINE = {
    STEPS: """
    for (line = 0; line < 2 * LINES; line += 2) {
        cell = FETCH(lines + line);
        step = FETCH(lines + line + 1);
        BEGIN
        for (left = LENGTH; left != 0; --left) {
            BODY
            cell += step;
        }
        END
    }""",
    PACKED: """
    for (line = 0; line < LINES; ++line) {
        step = FETCH(lines + line);
        cell = (byte)(step >> 4);
        step &= 15;
        BEGIN
        for (left = LENGTH; left != 0; --left) {
            BODY
            cell += step;
        }
        END
    }""",
    LISTED: """
    for (line = 0; line < LINES * LENGTH;) {
        BEGIN
        for (left = LENGTH; left != 0; --left) {
            cell = FETCH(lines + line);
            ++line;
            BODY
        }
        END
    }""",
}
"""How all lines are gone through, in each way to store them."""
VARIABLES = {STEPS: "line, cell, step, left", PACKED: "line, cell, step, left", LISTED: "line, cell, left"}


class MarksBoard:
    """Writes what keeps the board."""

    def __init__(self, setting: Setting) -> None:
        self._setting = setting
        self._text = setting.text
        self.cells = setting.cells
        self.length = setting.line_length
        self.lines = setting.lines
        self._stored_as: str | None = None
        self._told_by: str | None = None
        text = self._text
        text.constant("CELLS", self.cells, "of the board")
        text.constant("MINE", 1, "a mark of the machine's")
        text.constant("VISITORS", self.length + 1, "a mark of the visitor's")
        text.array("board", self.cells, "0 where a cell is free")
        text.local("move", "a cell")
        draws = {who for who, how in setting.happens if how == DRAWN}
        self._is_full = setting.choices.pick("full boards", (COUNTED, SOUGHT)) if draws else SOUGHT
        self._counts = bool(draws) and self._is_full == COUNTED

    def set_up(self) -> None:
        """The board as it stands at the start."""
        self._text.put("for (move = 0; move < CELLS; ++move)\n    board[move] = 0;")
        if self._counts:
            self._text.local("still_free", "cells")
            self._text.put("still_free = CELLS;")

    def judge(self, refused: Mapping[str, str]) -> None:
        """Go on at the label of the class that refuses the visitor's `move`."""
        machine, visitor = refused[BY_MACHINE], refused[BY_VISITOR]
        if machine != visitor:
            self._text.put(f"if (board[move] == MINE)\n    goto {machine};")
        self._text.put(f"if (board[move] != 0)\n    goto {visitor};")

    def play(self, who: str) -> None:
        """Make a move of theirs."""
        self._text.put(f"board[move] = {SIGNS[who]};")
        if self._counts:
            self._text.put("--still_free;")

    def told_by(self, condition: str) -> None:
        """That this says, after a move of the machine's, whether it fills a line; else the lines are looked at."""
        self._told_by = condition

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """After a move of theirs: go on at the label of WON, LOST or DRAWN, of those that there are."""
        text = self._text
        by_line = by_last_mover(who, wins=not self._setting.game.misere)
        if by_line in labels:
            told = self._told_by if who == MACHINE else None
            text.put(f"if ({told or self.holds_line(who)})\n    goto {labels[by_line]};")
        if DRAWN in labels:
            if self._counts:
                text.put(f"if (still_free == 0)\n    goto {labels[DRAWN]};")
            else:
                text.put(
                    f"{text.local('cell', 'the next to look at')} = 0;\n"
                    f"while (board[cell] != 0)\n    if (++cell == CELLS)\n        goto {labels[DRAWN]};"
                )

    def holds_line(self, who: str) -> str:
        """Whether they hold a line, as an expression."""
        body = self.each_line(
            "sum = 0;", "sum += board[cell];", "if (sum == full)\n            return 1;", "sum"
        )
        self._text.function(
            "holds_line",
            f"""
/* Whether there is a line whose marks add up to this. */
static byte holds_line(byte full)
{{{body}
    return 0;
}}""",
        )
        return f"holds_line(LENGTH * {SIGNS[who]})"

    def order_lines(self, order: Sequence[int]) -> None:
        """Store the lines in this order."""
        self.lines = [self._setting.lines[place] for place in order]

    # -- lines --------------------------------------------------------------------------------

    def each_line(self, begin: str, body: str, end: str, *more: str) -> str:
        """The body of a function: variables, and a loop over all lines with a loop over their cells inside."""
        kept = self._lines_table()
        loop = EACH_LINE[kept]
        for word, put in (("BEGIN", begin), ("BODY", body), ("END", end)):
            loop = loop.replace(word, put)
        loop = "\n".join(line for line in loop.split("\n") if line.strip())
        return f"\n    byte {', '.join((VARIABLES[kept], *more))};\n\n{loop}"

    def _lines_table(self) -> str:
        if self._stored_as is None:
            self._stored_as = self._store(self.lines)
            self._text.constant("LINES", len(self.lines), "of the board")
            self._text.constant("LENGTH", self.length, "of each line")
        return self._stored_as

    def _store(self, lines: Sequence[tuple[int, ...]]) -> str:
        steps = steps_of(lines)
        ways = [LISTED]
        if steps is not None:
            fits = max(max(pair) for pair in steps) < 16
            ways = [STEPS, *([PACKED] if fits else []), LISTED]
        kept = self._setting.choices.pick("lines", ways)
        if kept == STEPS:
            assert steps is not None
            values = [part for pair in steps for part in pair]
            remark = "the first cell of each, and the step to its next"
        elif kept == PACKED:
            assert steps is not None
            values, remark = (
                [first << 4 | step for first, step in steps],
                "16 times its first cell, and its step",
            )
        else:
            values, remark = [cell for line in lines for cell in line], "the cells of each"
        self._text.table("lines", values, remark)
        return kept
