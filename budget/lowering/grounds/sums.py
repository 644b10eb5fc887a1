"""Marks on cells whose lines are added up: what a line holds is one number.

A free cell counts for 0, the machine's mark for 1 and the visitor's for one more than a line has cells.  A *marker*,
which counts for more than any line can hold, stands for a moment in a cell that is looked at: so it is told which lines
go through it.  Cells hold what they count for, or where they are to be digits as well, what it is looked up by.
"""

from collections.abc import Sequence

from budget.lowering.ground import MACHINE, VISITOR, Digit, Ground, Setting
from budget.lowering.grounds.marks import MARK, MarksGround, is_kept
from budget.lowering.looking import Test
from solver.sheet.weights import cells_in

FROM_TOP, FROM_BELOW, LISTED = "packed", "packed from below", "listed"
"""How the cells of a line are told: in the fields of one word, the uppermost or lowest first, or one in each word."""
MARKER = 3
"""The marker on a board of digits."""


def ground(setting: Setting) -> Ground | None:
    """The ground of a game of marks, where its lines are chosen to be added up."""
    return SumsGround(setting) if is_kept(setting, "sums") else None


class SumsGround(MarksGround):
    """A board of marks with lines that are added up."""

    def __init__(self, setting: Setting) -> None:
        super().__init__(setting)
        self.long = len(self.lines[0])
        self.marks = self.counts = {MACHINE: 1, VISITOR: self.long + 1}
        self.marker = self.long * self.counts[VISITOR] + 1
        self._has_digits = False
        self._check_range()

    def count_marks(self, machine: int, visitor: int, marker: int) -> None:
        """Let marks and the marker count for other numbers; only for who tells all endings without the lines."""
        self.counts = {MACHINE: machine, VISITOR: visitor}
        self.marks = self.marks if self._has_digits else self.counts
        self.marker = marker
        self._check_range()

    def put_in_order(self, lines: Sequence[int]) -> None:
        """Let the lines (their numbers) come in this order."""
        self.lines = [self.lines[number] for number in lines]

    def list_further(self, lines: Sequence[int]) -> None:
        """List more sets of cells behind the lines, none longer than a line; only where lines are packed."""
        self.lines = [*self.lines, *map(cells_in, lines)]

    def _check_range(self) -> None:
        widest = self.long * max(map(abs, self.counts.values()))
        self.text.needs(-self.marker - widest, 2 * (self.marker + widest), "what the cells of a line come to")

    def digits(self) -> tuple[Digit, ...]:
        """The cells, which are looked up from now on to add up lines."""
        self._has_digits, self.marks = True, MARK
        return super().digits()

    def if_lined(self, who: str, label: str) -> None:
        """Go on at a label if a line is full of marks of theirs, who have just moved."""
        self._lines_with(self.long * self.counts[who])
        self.text.op("ifnonzero", label)

    # -- what rules ask -----------------------------------------------------------------------

    def fills(self, who: str) -> Test:
        """Whether a mark on `move` would fill a line."""
        return self._through(self.marker + (self.long - 1) * self.counts[who], 1)

    def pairs(self, who: str, least: int) -> Test:
        """Whether so many lines through `move` are one move short of a threat."""
        return self._through(self.marker + (self.long - 2) * self.counts[who], least)

    def unless_held(self, who: str, cell: int, label: str) -> None:
        """Go on at a label unless they hold a cell."""
        self.text.op("load", f"board+{cell}")
        self.text.plus(-self.marks[who])
        self.text.op("ifnonzero", label)

    def unless_held_across(self, who: str, total: int, label: str) -> None:
        """Go on at a label unless they hold the cell that comes to `total` with the one in `move`."""
        self.text.ops("load move", "negate", f"look board+{total}-{self.cells}")
        self.text.plus(-self.marks[who])
        self.text.op("ifnonzero", label)

    def threats(self, who: str) -> None:
        """A becomes how many lines lack just one mark of theirs."""
        self._lines_with((self.long - 1) * self.counts[who])

    def forced(self) -> Test:
        """Whether a line through `move` and the blocked cell lacks just these two marks of the machine's."""
        return self._through(2 * self.marker + (self.long - 2) * self.counts[MACHINE], 1)

    def _through(self, total: int, least: int) -> Test:
        return Test(lambda: self.text.number(total), "through", self._write_through, least)

    def _write_through(self) -> None:
        """A subroutine: A becomes how many lines come to A, with the marker in the free cell `move`."""
        text, sought = self.text, self.text.variable("sought", remark="what a line is to come to")
        text.op("store", sought)
        self.block()
        text.op("load", sought)
        text.routine("lines_with", self._write_lines_with)
        text.op("store", sought)
        self.undo(MACHINE)
        text.ops(f"load {sought}", "back")

    def block(self) -> None:
        """The marker on the cell `move`."""
        self.text.number(MARKER if self._has_digits else self.marker)
        self.text.ops("by move", f"store board+{self.cells}")

    def _lines_with(self, total: int) -> None:
        self.text.number(total)
        self.text.routine("lines_with", self._write_lines_with)

    def _write_lines_with(self) -> None:
        """A subroutine: A becomes how many lines come to A."""
        text = self.text
        sought, found = text.variable("sought"), text.variable("found_lines")
        each, other = text.fresh("line"), text.fresh("line_not")
        text.op("store", sought)
        text.number(0)
        text.op("store", found)
        self.begin_lines()
        text.label(each)
        text.number(0)
        self.sum_line()
        text.ops(f"subtract {sought}", f"ifnonzero {other}", f"count {found}", f"{other}:")
        self.next_line(each)
        text.ops(f"load {found}", "back")

    # -- lines --------------------------------------------------------------------------------

    def begin_lines(self) -> None:
        """Let the word `line` stand for the first line."""
        self.text.number(-len(self.lines) * self.step())
        self.text.op("store", self.text.variable("line", remark="its place in their list, less its end"))

    def next_line(self, again: str) -> None:
        """Go on at a label with the next line; fall through, with 0 in A, after the last."""
        text, step = self.text, self.step()
        if step == 1:
            text.op("count", "line")
        else:
            text.op("load", "line")
            text.plus(step)
            text.op("store", "line")
        text.op("ifnonzero", again)

    def look_by_line(self, name: str, values: Sequence[int], remark: str) -> None:
        """A becomes that one of some numbers, one for each line, that is for the line."""
        apart = [0] * (self.step() - 1)
        words = [word for value in values for word in (value, *apart)]
        table = self.text.table(name, words, remark)
        self.text.ops("load line", f"look {table}+{len(words)}")

    def sum_line(self) -> None:
        """A is added to what the line comes to."""
        self.text.routine("sum_line", self._write_sum)

    def _write_sum(self) -> None:
        """A subroutine: the same."""
        self.text.op("store", self.text.variable("total"))
        if self._is_packed():
            self._sum_packed()
        else:
            self._sum_listed()
        self.text.op("back")

    def _counted(self) -> tuple[str, ...]:
        """What makes of what a cell holds what it counts for."""
        if not self._has_digits:
            return ()
        counts = [0, self.counts[MACHINE], self.counts[VISITOR], self.marker]
        return (f"look {self.text.table('counts', counts, 'what digits, and the marker, count for')}",)

    def step(self) -> int:
        """How far a line is from the next in their list."""
        return 1 if self._is_packed() else self.long

    def _is_packed(self) -> bool:
        """Whether each line is one word, with a field for each of its cells, counted from 1."""
        self._bits = self.cells.bit_length()
        if self._bits * self.long > self.text.word_bits:
            return False
        return self._packing() != LISTED

    def _packing(self) -> str:
        return self.setting.choices.pick("lines", (FROM_TOP, FROM_BELOW, LISTED))

    def _sum_packed(self) -> None:
        text, is_from_top = self.text, self._packing() == FROM_TOP
        top = text.word_bits - self._bits if is_from_top else 0
        step = -self._bits if is_from_top else self._bits
        words = [
            sum(cell + 1 << top + step * place for place, cell in enumerate(line)) for line in self.lines
        ]
        table, count = text.table("lines", words, "their cells, counted from 1"), len(words)
        rest, part = text.variable("rest"), text.fresh("part")
        text.ops("load line", f"look {table}+{count}", f"{part}:", f"store {rest}")
        text.op(*(("right", top) if is_from_top else ("and", f"={(1 << self._bits) - 1}")))
        text.ops("look board-1", *self._counted(), "add total", "store total", f"load {rest}")
        text.ops(f"{'left' if is_from_top else 'right'} {self._bits}", f"ifnonzero {part}", "load total")

    def _sum_listed(self) -> None:
        text, count = self.text, self.long * len(self.lines)
        table = text.table("lines", [cell for line in self.lines for cell in line], "their cells")
        text.needs(-count, count, "a place in the list of lines")
        for place in range(self.long):
            text.ops("load line", f"look {table}+{count + place}", "look board", *self._counted())
            text.op("add", "total")
            if place < self.long - 1:
                text.op("store", "total")
