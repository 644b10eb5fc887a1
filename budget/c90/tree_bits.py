"""A reply tree in bits in a C program: it keeps its place, and passes over branches by playing them through.

The round of the game is the same for a line that is played through and for the game itself: the visitor's moves are
tried from the first on, and when the one that was typed has its turn, `begun` becomes GAME, and what follows counts.

`path` has the moves that were made: so a line is taken back mark by mark.
"""

from collections.abc import Mapping

from budget.c90.answering import Answering
from budget.c90.marks import MarksBoard
from budget.c90.setting import Setting
from budget.lines import Course
from budget.lowering.text import NotLowered, WrongWay
from budget.packed import Packed
from games.codes import FIRST

MOST_ANSWERS = 2_000
"""Of more along the lines none is passed over: on the slowest machines that would take more than a second."""
GAME = 255
BY_NUMBER, BY_POINTER = "by number", "by a pointer"
"""How the last move of the path is known."""
READ_BIT = """
    place += place;
    if ((FETCH(tree_at) & mask) == 0)
        --place;
    mask >>= 1;
    if (mask == 0) {
        mask = 128;
        ++tree_at;
    }"""
NEXT_ANSWER = """
more = (byte)(still_free - 1);
%s
for (move = 0; board[move] != 0 || --place != 0; ++move)
    ;
goto found;"""


class TreeInBits(Answering):
    """Writes the tree and the way along it."""

    def __init__(self, setting: Setting, board: MarksBoard, packed: Packed) -> None:
        _refuse(Course.of_constants(packed.constants))
        if board.keeps_sums:
            raise WrongWay("sums of lines are not taken back")
        if setting.cells >= GAME:
            raise NotLowered("lines on so many cells are not played through")
        self._setting = setting
        self._text = setting.text
        self._bytes = packed.words
        self._ends: dict[str, tuple[str, str]] = {}
        board.count_free()

    def set_up(self) -> None:
        """The first bit is next; where the machine begins, its first answer belongs to the game."""
        text = self._text
        text.constant("GAME", GAME, "in the place of where a line begins: this is the game itself")
        text.table("tree", self._bytes, "all answers along the lines, bit by bit")
        how = self._setting.choices.pick("path", (BY_NUMBER, BY_POINTER))
        self._by_pointer = how == BY_POINTER
        if self._by_pointer:
            text.array("path", self._setting.cells, "the moves that were made")
            text.local("path_end", "where the next one comes", "byte *", lasts=True)
            text.put("path_end = path;")
        else:
            text.array("path", self._setting.cells, "the moves that were made, the last one at still_free")
        text.local("tree_at", "the next byte of the tree", "FIXED_AT", lasts=True)
        text.local("mask", "the next bit of it", lasts=True)
        text.local("begun", "where the line that is played through begins", lasts=True)
        text.put("tree_at = tree;\nmask = 128;")
        if self._setting.play.game.seat == FIRST:
            text.put("led_by = 0;\nbegun = GAME;")

    def visitor_moves(self) -> None:
        """Play through all branches before that of the visitor's move."""
        text = self._text
        text.local("led_by", "the visitor's move", lasts=True)
        text.put("led_by = move;\nbegun = still_free;")
        text.label("branches")
        text.put("move = 0;")
        text.label("branch")
        text.put(
            "if (move == led_by && still_free == begun)\n    begun = GAME;\n"
            "if (move == CELLS)\n    goto back;\nif (board[move] != 0)\n    goto next;"
        )

    def has_moved(self) -> None:
        """Note the move."""
        note = "*path_end = move;\n++path_end;" if self._by_pointer else "path[still_free] = move;"
        self._text.put(note)

    def answer(self) -> None:
        """Of all moves that can be made, the one whose place is in the next bits."""
        self._text.local("place", "of the move among those that can be made, from 1")
        self._text.local("more", "moves that can be made, beyond the first")
        self._text.put(NEXT_ANSWER % read_place(may_be_forced=may_be_forced(self._setting)))

    def ends(self, who: str, labels: Mapping[str, str]) -> Mapping[str, str]:
        """Where a line ends, it is taken back."""
        return {how: self._ends.setdefault(how, (f"{how}_here", label))[0] for how, label in labels.items()}

    def before_telling(self) -> None:
        """Of a line nothing is told."""
        self._text.put("if (begun != GAME)\n    goto quiet;")

    def after_telling(self) -> None:
        """Here both go on."""
        self._text.label("quiet")

    def before_asking(self) -> None:
        """A line goes on with the visitor's first move."""
        self._text.put("if (begun != GAME)\n    goto branches;")

    def write_rest(self) -> None:
        """Where lines end, and how they are taken back: to a move of the visitor's, and then the next is tried."""
        text = self._text
        for here, label in self._ends.values():
            text.label(here)
            text.put(f"if (begun == GAME)\n    goto {label};")
            text.put("goto back;")
        text.local("mark", "that is taken back")
        text.label("back")
        last = "--path_end;\n    move = *path_end;" if self._by_pointer else "move = path[still_free];"
        text.put(
            f"do {{\n    {last}\n    mark = board[move];\n    board[move] = 0;\n    ++still_free;\n"
            "} while (mark == MINE);"
        )
        text.label("next")
        text.put("++move;\ngoto branch;")


def may_be_forced(setting: Setting) -> bool:
    """Whether the machine ever has one cell left to choose from, where no turn is lost."""
    return (setting.cells - setting.play.game.seat) % 2 == 1


def read_place(*, may_be_forced: bool) -> str:
    """Read `place`, from 1, in as few bits as tell so many cells apart: those in `more`, and one besides."""
    loop = (
        f"for (; more != 0; more >>= 1) {{{READ_BIT}\n}}"
        if may_be_forced
        else f"do {{{READ_BIT}\n}} while ((more >>= 1) != 0);"
    )
    return f"place = 1;\n{loop}"


def _refuse(course: Course) -> None:
    """Raise NotLowered for lines that are not played through in one loop."""
    if course.answers > MOST_ANSWERS:
        raise NotLowered(f"more than {MOST_ANSWERS:,} answers are not played through: it would take too long")
    if not course.in_turn or course.lost or course.somewhere_lost or course.forgives:
        raise WrongWay("where turns are lost, lines are not played through in one loop")
