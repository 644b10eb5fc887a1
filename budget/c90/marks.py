"""The board of a game of marks in a C program: a byte for each cell, and lines whose marks are added up.

A free cell is 0, a mark of the machine's 1, one of the visitor's one more than a line is long: so the sum of a line
tells how many marks of each it holds.
"""

from collections.abc import Mapping, Sequence

from budget.c90 import sums
from budget.c90.setting import Setting, steps_of
from budget.c90.text import INNER, STATIC
from budget.lowering.ground import DRAWN, MACHINE, VISITOR, by_last_mover
from budget.lowering.text import NotLowered
from games.inputs import BY_MACHINE, BY_VISITOR

STEPS, PACKED, LISTED = "first cells and steps", "a cell and a step in a byte", "all cells"
POINTED, FROM_LAST = "all cells, by a pointer", "all cells, from the last"
MOST_COUNTED = 255
"""By a byte."""
SIGNS = {MACHINE: "MINE", VISITOR: "VISITORS"}
COUNTED, SOUGHT = "counted", "sought"
UPWARDS, DOWNWARDS = "from the first", "from the last"
ADDED, KEPT = "added up", "kept"
"""The sums of lines: made anew when they are asked for, or kept with every mark."""
CLEARED = {
    UPWARDS: "for (move = 0; move < CELLS; ++move)\n    board[move] = 0;",
    DOWNWARDS: "move = CELLS;\ndo {\n    --move;\n    board[move] = 0;\n} while (move != 0);",
}
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
    FROM_LAST: """
    line = LINES * LENGTH;
    do {
        BEGIN
        left = LENGTH;
        do {
            --line;
            cell = FETCH(lines + line);
            BODY
        } while (--left != 0);
        END
    } while (line != 0);""",
    POINTED: """
    for (line = LINES; line != 0; --line) {
        BEGIN
        for (left = LENGTH; left != 0; --left) {
            cell = FETCH(at_line);
            ++at_line;
            BODY
        }
        END
    }""",
}
"""How all lines are gone through, in each way to store them."""
VARIABLES = {
    STEPS: "byte line, cell, step, left",
    PACKED: "byte line, cell, step, left",
    LISTED: "byte line, cell, left",
    FROM_LAST: "byte line, cell, left",
    POINTED: "FIXED_AT at_line = lines;\n    byte line, cell, left",
}


HOLDS_LINE = """
/* Whether there is a full line. */
static byte holds_line(%(parameter)s)
{%(body)s
    return 0;
}"""


class MarksBoard:
    """Writes what keeps the board."""

    def __init__(self, setting: Setting) -> None:
        self._setting = setting
        self._text = setting.text
        self.cells = setting.cells
        self.length = setting.line_length
        self.lines = setting.lines
        self.number_bits = int(3**self.cells - 1).bit_length()
        self._stored_as: str | None = None
        ways = (ADDED, KEPT) if sums.can_keep(setting) else (ADDED,)
        self.keeps_sums = setting.choices.pick("sums", ways) == KEPT
        self._told_by: str | None = None
        text = self._text
        text.constant("CELLS", self.cells, "of the board")
        text.constant("MINE", 1, "a mark of the machine's")
        text.constant("VISITORS", self.length + 1, "a mark of the visitor's")
        text.array("board", self.cells, "0 where a cell is free")
        text.local("move", "a cell")
        self._counts = False

    def set_up(self) -> None:
        """The board as it stands at the start."""
        way = self._setting.choices.pick("the board is cleared", (UPWARDS, DOWNWARDS))
        self._text.put(CLEARED[way])
        if self.keeps_sums:
            sums.keep(self._setting, self.lines)
            self._text.put("for (move = 0; move < LINES; ++move)\n    sums[move] = 0;")
        if not self._counts and any(how == DRAWN for _, how in self._setting.happens):
            self._counts = self._setting.choices.pick("full boards", (COUNTED, SOUGHT)) == COUNTED
        if self._counts:
            self._text.local("still_free", "cells", lasts=True)
            self._text.put("still_free = CELLS;")

    def count_free(self) -> None:
        """The free cells are counted in `still_free`, whether or not that tells when the board is full."""
        self._counts = True

    def judge(self, refused: Mapping[str, str]) -> None:
        """Go on at the label of the class that refuses the visitor's `move`."""
        machine, visitor = refused[BY_MACHINE], refused[BY_VISITOR]
        if machine != visitor:
            self._text.put(f"if (board[move] == MINE)\n    goto {machine};")
        self._text.put(f"if (board[move] != 0)\n    goto {visitor};")

    def play(self, who: str) -> None:
        """Make a move of theirs."""
        sign = SIGNS[who]
        self._text.put(f"put_mark(move, {sign});" if self.keeps_sums else f"board[move] = {sign};")
        if self._counts:
            self._text.put("--still_free;")

    def write_number(self, kind: str) -> None:
        """The cells are digits in base 3."""
        self._text.function("number", sums.NUMBER % {"kind": kind})

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

    def goes_on(self, who: str) -> list[str]:
        """What must hold, after a move of theirs, for the game to go on.  The free cells are counted."""
        happens = {how for by, how in self._setting.happens if by == who}
        by_line = by_last_mover(who, wins=not self._setting.game.misere)
        tests = [f"{self.holds_line(who)} == 0"] if by_line in happens else []
        return [*tests, "still_free != 0"] if DRAWN in happens else tests

    def holds_line(self, who: str) -> str:
        """Whether they hold a line, as an expression."""
        asked = f"LENGTH * {SIGNS[who]}"
        full, parameter = (asked, "void") if self._one_fills_lines else ("full", "byte full")
        if self.keeps_sums:
            self._text.constant("LENGTH", self.length, "of each line")
            text = sums.HOLDS_LINE % {"parameter": parameter, "full": full}
        else:
            end = f"if (sum == {full})\n            return 1;"
            body = self.each_line("sum = 0;", "sum += board[cell];", end, "sum")
            text = HOLDS_LINE % {"parameter": parameter, "body": body}
        self._text.function("holds_line", text)
        return "holds_line()" if self._one_fills_lines else f"holds_line({asked})"

    @property
    def _one_fills_lines(self) -> bool:
        """Whether only one side ever fills a line: then a function need not be told which."""
        wins = not self._setting.game.misere
        happens = self._setting.happens
        return sum((who, by_last_mover(who, wins=wins)) in happens for who in SIGNS) == 1

    def order_lines(self, order: Sequence[int]) -> None:
        """Store the lines in this order."""
        self.lines = [self._setting.lines[place] for place in order]

    def fill_function(self, *, least: bool) -> None:
        """Write the function that finds the free cell of a line whose marks add up to what is wanted.

        least: the least such cell, else that of the first line.
        """
        if self.keeps_sums:
            self._lines_table()
            self._text.function("filling", sums.FILLING % (sums.LEAST if least else sums.FIRST))
            return
        is_static = self._setting.choices.pick("the cell that is found", (INNER, STATIC)) == STATIC
        body = self.each_line(
            "sum = 0;",
            "sum += board[cell];\n            if (board[cell] == 0)\n                open = cell;",
            "if (sum == wanted && open < least)\n            least = open;"
            if least
            else "if (sum == wanted)\n            return open;",
            "sum",
            *([] if is_static else ["open = 0"]),
            *(["least = CELLS"] if least else []),
        )
        head, end = (
            ("The least free cell of a line", "least")
            if least
            else ("The free cell of the first line", "CELLS")
        )
        kept = "\n    static byte open;" if is_static else ""
        self._text.function(
            "filling",
            f"""
/* {head} whose marks add up to this, or CELLS. */
static byte filling(byte wanted)
{{{kept}{body}
    return {end};
}}""",
        )

    # -- lines --------------------------------------------------------------------------------

    def each_line(self, begin: str, body: str, end: str, *more: str) -> str:
        """The body of a function: variables, and a loop over all lines with a loop over their cells inside."""
        kept = self._lines_table()
        loop = EACH_LINE[kept]
        for word, put in (("BEGIN", begin), ("BODY", body), ("END", end)):
            loop = loop.replace(word, put)
        loop = "\n".join(line for line in loop.split("\n") if line.strip())
        return f"\n    {', '.join((VARIABLES[kept], *more))};\n\n{loop}"

    def _lines_table(self) -> str:
        if self._stored_as is None:
            self._stored_as = self._store(self.lines)
            self._text.constant("LINES", len(self.lines), "of the board")
            self._text.constant("LENGTH", self.length, "of each line")
        return self._stored_as

    def _store(self, lines: Sequence[tuple[int, ...]]) -> str:
        steps = steps_of(lines)
        count = len(lines)
        if count > MOST_COUNTED:
            raise NotLowered("there are more lines than a byte counts")
        listed = [LISTED] if self.keeps_sums else [LISTED, FROM_LAST]  # kept sums know a line by its place
        ways = [*listed, POINTED] if count * self.length <= MOST_COUNTED else [POINTED]
        if steps is not None and not self.keeps_sums:
            fits = max(max(pair) for pair in steps) < 16
            pairs_fit = 2 * count <= MOST_COUNTED
            ways = [*([STEPS] if pairs_fit else []), *([PACKED] if fits else []), *ways]
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
            order = reversed(lines) if kept == FROM_LAST else lines
            values, remark = [cell for line in order for cell in line], "the cells of each"
        self._text.table("lines", values, remark)
        return kept
