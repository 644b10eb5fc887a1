"""A reply tree in bits in a C program that passes over branches by a function that calls itself.

A branch is the visitor's move with all that may follow it.  What a call has to remember, the cells to take back, is
kept where the compiler keeps it, so nothing is written down of the line that is played through.  A lost turn is one
more branch, the last, with no mark to take back.
"""

from collections.abc import Sequence
from textwrap import indent

from budget.c90.answering import Answering
from budget.c90.marks import MarksBoard
from budget.c90.setting import Setting
from budget.c90.tree_bits import MOST_ANSWERS, may_be_forced, read_place
from budget.lines import Course
from budget.lowering.ground import MACHINE, VISITOR
from budget.lowering.text import NotLowered, WrongWay
from budget.packed import Packed

BY_NUMBER, BY_ADDRESS = "by number", "by address"
"""How functions know a cell."""
ANSWER = """
/* Make the machine's next move: the place of its cell among the free ones is in the next bits. */
static %(kind)sanswer(void)
{
    byte place, more;
    %(kind)scell;

    --still_free;
    more = still_free;
%(place)s
    for (cell = %(first)s; %(at_cell)s != 0 || --place != 0; ++cell)
        ;
    %(at_cell)s = MINE;
    return cell;
}
"""
BRANCH = """
/* Pass over what may follow when the machine is to move; the marks are then as they were. */
static void branch(void)
{
    %(kind)smine;

    mine = answer();
%(follow)s
    %(at_mine)s = 0;
    ++still_free;
}
"""
PASS_OVER = """
/* Pass over the branches of all moves of the visitor's before `end`. */
static void pass_over(%(kind)send)
{
    %(kind)scell;

    for (cell = %(first)s; cell != end; ++cell)
        if (%(at_cell)s == 0) {
            %(at_cell)s = VISITORS;
            --still_free;
%(follow)s
            %(at_cell)s = 0;
            ++still_free;
        }
}
"""


class TreeByCalls(Answering):
    """Writes the tree, and the functions that follow it and pass over its branches."""

    makes_move = True

    def __init__(self, setting: Setting, board: MarksBoard, packed: Packed) -> None:
        self._course = Course.of_constants(packed.constants)
        _refuse(self._course)
        if board.keeps_sums:
            raise WrongWay("sums of lines are not taken back")
        self._setting = setting
        self._text = setting.text
        self._board = board
        self._bytes = packed.words
        self._by_address = setting.choices.pick("cells of branches", (BY_NUMBER, BY_ADDRESS)) == BY_ADDRESS
        board.count_free()

    def set_up(self) -> None:
        """The first bit is next."""
        text = self._text
        text.table("tree", self._bytes, "all answers along the lines, bit by bit")
        text.static("still_free", "cells")
        text.static("tree_at", "the next byte of the tree", "FIXED_AT")
        text.static("mask", "the next bit of it")
        text.put("tree_at = tree;\nmask = 128;")
        self._write_functions()

    def visitor_moves(self) -> None:
        """Pass over all branches before that of the visitor's move."""
        self._text.put(f"pass_over({self._cell('move')});")

    def turn_lost(self) -> None:
        """Pass over the branches of all moves: that of a lost turn is the last."""
        self._text.put(f"pass_over({self._cell('CELLS')});")

    def answer(self) -> None:
        """The answer is next."""
        self._text.put(
            f"move = {'(byte)(answer() - board)' if self._by_address else 'answer()'};\ngoto found;"
        )

    def _write_functions(self) -> None:
        by_address = self._by_address
        names = {
            "kind": "byte *" if by_address else "byte ",
            "first": self._cell("0"),
            "at_cell": "*cell" if by_address else "board[cell]",
            "at_mine": "*mine" if by_address else "board[mine]",
        }
        text, board = self._text, self._board
        place = read_place(may_be_forced=self._course.lost or may_be_forced(self._setting))
        text.function("answer", ANSWER % {**names, "place": indent(place, "    ")})
        branches = [f"pass_over({self._cell('CELLS')});", *(["branch();"] if self._course.lost else [])]
        follow = _where(board.goes_on(MACHINE), branches, 1)
        text.calling_function("branch", BRANCH % {**names, "follow": follow})
        follow = _where(board.goes_on(VISITOR), ["branch();"], 3)
        text.calling_function("pass_over", PASS_OVER % {**names, "follow": follow})

    def _cell(self, number: str) -> str:
        """A cell as functions know it."""
        if not self._by_address:
            return number
        return "board" if number == "0" else f"board + {number}"


def _where(tests: Sequence[str], statements: Sequence[str], depth: int) -> str:
    """Statements that are done where all tests hold."""
    inner = "    " * (depth + bool(tests))
    body = "\n".join(f"{inner}{each}" for each in statements)
    if not tests:
        return body
    outer = "    " * depth
    begin, end = (" {", f"\n{outer}}}") if len(statements) > 1 else ("", "")
    return f"{outer}if ({' && '.join(tests)}){begin}\n{body}{end}"


def _refuse(course: Course) -> None:
    """Raise NotLowered for lines that are not passed over."""
    if course.answers > MOST_ANSWERS:
        raise NotLowered(f"more than {MOST_ANSWERS:,} answers are not played through: it would take too long")
    if not course.in_turn or course.somewhere_lost or course.forgives:
        raise NotLowered("lines on which turns are lost on some boards only are followed in C by counting")
