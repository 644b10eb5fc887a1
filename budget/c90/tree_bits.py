"""A reply tree in bits in a C program: it keeps its place, and passes over branches by playing them through.

`path` has the moves that were made, the last one at `still_free`: so a line is taken back mark by mark.  The row of
bits is read through `unread`: its lower byte has the bits that come next, at the top, and those that were read move
into the upper one.
"""

from budget.c90.marks import MarksBoard
from budget.c90.setting import Setting
from budget.lines import Course
from budget.lowering.answering.table_lines import MOST_ANSWERS
from budget.lowering.ground import MACHINE, VISITOR
from budget.lowering.text import NotLowered, WrongWay
from budget.packed import Packed

NEXT_ANSWER = """
/* The machine's answer: of all that can be made, the one whose place is in the next bits.
   more: how many can be made beyond the first. */
static byte next_answer(byte more)
{
    byte cell;

    unread &= 255;
    while (more != 0) {
        if (bits == 0) {
            unread += FETCH(%(at)s);
            ++tree_at;
            bits = 8;
        }
        unread <<= 1;
        --bits;
        more >>= 1;
    }
    bits_read = (byte)(unread >> 8);
    for (cell = 0; board[cell] != 0 || bits_read-- != 0; ++cell)
        ;
    return cell;
}
"""


class TreeInBits:
    """Writes the tree and the way along it."""

    def __init__(self, setting: Setting, board: MarksBoard, packed: Packed) -> None:
        course = Course.of_constants(packed.constants)
        _refuse(course)
        self._setting = setting
        self._text = setting.text
        self._board = board
        self._bytes = packed.words
        board.count_free()
        if board.keeps_sums:
            raise WrongWay("sums of lines are not taken back")

    def set_up(self) -> None:
        """The first bit is next."""
        text = self._text
        text.table("tree", self._bytes, "all answers along the lines, bit by bit")
        text.array("path", self._setting.cells, "the moves that were made, the last one at still_free")
        text.static("tree_at", "the next byte of the tree", "FIXED_AT")
        text.static("unread", "bits of the tree", "unsigned")
        text.static("bits", "how many of them are unread")
        text.static("bits_read", "moves to pass over")
        text.put("tree_at = tree;\nunread = 0;\nbits = 0;")

    def visitor_moves(self) -> None:
        """Play through all branches before that of the visitor's move; the board is then as it was."""
        text = self._text
        led_by, begun = (
            text.local("led_by", "the visitor's move"),
            text.local("begun", "where the line begins"),
        )
        text.put(f"{led_by} = move;\n{begun} = still_free;\nmove = 0;")
        text.label("branch")
        text.put(f"if (move == {led_by} && still_free == {begun})\n    goto passed;")
        text.put("if (move == CELLS)\n    goto up;\nif (board[move] != 0)\n    goto next;")
        self._ply(VISITOR, "back")
        text.put("move = next_answer((byte)(still_free - 1));")
        self._ply(MACHINE, "up")
        text.put("move = 0;\ngoto branch;")
        text.label("up")
        self._take_back()
        text.label("back")
        self._take_back()
        text.label("next")
        text.put("++move;\ngoto branch;")
        text.label("passed")

    def turn_lost(self) -> None:
        """Never: such trees are refused."""

    def answer(self) -> None:
        """The answer is next."""
        self._text.function("next_answer", NEXT_ANSWER % {"at": "tree_at"})
        self._text.put("move = next_answer((byte)(still_free - 1));\ngoto found;")

    def _ply(self, who: str, ended: str) -> None:
        """A move of a line that is played through; where the game ends by it, go on at a label."""
        self._board.play(who)
        self._text.put("path[still_free] = move;")
        happens = sorted(how for by, how in self._setting.happens if by == who)
        self._board.ends(who, dict.fromkeys(happens, ended))

    def _take_back(self) -> None:
        self._text.put("move = path[still_free];\nboard[move] = 0;\n++still_free;")


def _refuse(course: Course) -> None:
    """Raise NotLowered for lines that are not played through."""
    if course.answers > MOST_ANSWERS:
        raise NotLowered(f"more than {MOST_ANSWERS:,} answers are not passed over: it would take too long")
    if not course.in_turn or course.lost or course.somewhere_lost or course.forgives:
        raise NotLowered("lines on which a turn can be lost are followed in C by counting only")
