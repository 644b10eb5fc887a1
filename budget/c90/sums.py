"""Sums of lines that are kept with every mark, so that no line is added up anew: quicker, and at the price of bytes.

Each cell has a row of as many lines as any cell has; where it has fewer, the last is a sum at which nobody looks.
"""

from budget.c90.setting import Setting

NUMBER = """
/* The board as a number: the cells are its digits in base 3, cell 0 the lowest. */
static %(kind)s number(void)
{
    %(kind)s sum = 0;
    byte cell;

    for (cell = CELLS; cell != 0;) {
        --cell;
        sum = (%(kind)s)(sum * 3 + (board[cell] > MINE ? 2 : board[cell]));
    }
    return sum;
}
"""
PUT_MARK = """
/* Put a mark on a cell; the sums of the lines through it grow by it. */
static void put_mark(byte cell, byte mark)
{
    byte at;

    board[cell] = mark;
    at = (byte)(cell * MOST);
%(grow)s
}
"""
GROW = "    sums[FETCH(lines_of + at)] += mark;"
"""One line after the other, and no loop: this wording is there to be quick."""
HOLDS_LINE = """
/* Whether there is a full line. */
static byte holds_line(%(parameter)s)
{
    byte line;

    for (line = 0; line < LINES; ++line)
        if (sums[line] == %(full)s)
            return 1;
    return 0;
}
"""
FILLING = """
/* %(head)s whose marks add up to this, or CELLS. */
static byte filling(byte wanted)
{
    byte line, cell, at%(more)s;

    for (line = 0; line < LINES; ++line)
        if (sums[line] == wanted) {
            at = (byte)(line * LENGTH);
            do {
                cell = FETCH(lines + at);
                ++at;
            } while (board[cell] != 0);
            %(found)s
        }
    return %(end)s;
}
"""
FIRST = {
    "head": "The free cell of the first line",
    "more": "",
    "found": "return cell;",
    "end": "CELLS",
}
LEAST = {
    "head": "The least free cell of a line",
    "more": ", least = CELLS",
    "found": "if (cell < least)\n                least = cell;",
    "end": "least",
}


def can_keep(setting: Setting) -> bool:
    """Whether a byte counts the places in the rows of all cells, and in all lines."""
    lines = setting.lines
    return max(setting.cells * _most(lines, setting.cells), len(lines) * setting.line_length) < 256


def keep(setting: Setting, lines: list[tuple[int, ...]]) -> None:
    """Write the rows, and the function that puts a mark."""
    text, most = setting.text, _most(lines, setting.cells)
    text.constant("LINES", len(lines), "of the board")
    text.constant("MOST", most, "lines through any cell")
    rows = []
    for cell in range(setting.cells):
        through = [number for number, line in enumerate(lines) if cell in line]
        rows += [*through, *[len(lines)] * (most - len(through))]
    text.table("lines_of", rows, "the lines through each cell, and a sum that is not looked at")
    text.array("sums", len(lines) + 1, "of the marks of each line")
    text.function("put_mark", PUT_MARK % {"grow": "\n    ++at;\n".join([GROW] * most)})


def _most(lines: list[tuple[int, ...]], cells: int) -> int:
    """The most lines through a cell."""
    return max(sum(cell in line for line in lines) for cell in range(cells))
