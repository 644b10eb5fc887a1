"""A reply tree of bits in a program: it keeps its place, and passes over branches by playing them through."""

from budget.lines import Course
from budget.lowering.answering.table_moves import Moves
from budget.lowering.ground import LOST_TURN, MACHINE, VISITOR, Ground, Setting
from budget.lowering.grounds.bits import BitsGround
from budget.lowering.text import NotLowered
from budget.lowering.wide import Wide
from budget.packed import Packed

MOST_ANSWERS = 1_000
"""Of more along the lines none is passed over: the machine would think for too long."""


class PlayedThrough:
    """The answers of all lines, one after the other, of each as many bits as tell the legal moves apart.

    `depth` counts the visitor's moves of a line that is played through, beyond those of the game itself.
    """

    def __init__(self, setting: Setting, ground: Ground, packed: Packed) -> None:
        self._course = course = Course.of_constants(packed.constants)
        _refuse(course)
        self._setting = setting
        self._ground = ground
        self._text = text = setting.text
        self._kept = ground.kept()
        text.needs(-setting.moves, setting.moves + 1, "the number of a move")
        self._words = packed.words
        self._at = Wide(text, "tree_at", len(packed.words))
        for name, remark in (
            ("unread", "bits of the word that is read, at the top, and a 1 below them"),
            ("depth", "of the line that is played through"),
            ("led_by", "the visitor's last move"),
        ):
            text.variable(name, remark=remark)
        for name in ("tried", "answered", *(f"{word}_before" for word in self._kept)):
            text.variable(name, course.rounds)

    # -- what the game does -------------------------------------------------------------------

    def set_up(self) -> None:
        """The first bit is next: nothing is left of the word before the first."""
        self._at.clear()
        self._text.op("store", "unread")

    def visitor_moves(self) -> None:
        """Pass over the branches of the lesser moves."""
        self._text.ops("load move", "store led_by")
        self._text.routine("pass_over", self._write_pass_over)
        self._text.ops("load led_by", "store move")
        if isinstance(self._ground, BitsGround):  # it plays on the cell that was looked at last
            legal = self._text.fresh("legal")
            self._ground.unless_can(legal, VISITOR)
            self._text.label(legal)

    def turn_lost(self) -> None:
        """Pass over the branches of all moves: the one of a lost turn is the last."""
        self._text.number(0)
        self._text.op("store", "led_by")
        self._text.routine("pass_over", self._write_pass_over)

    def answer(self, found: str) -> None:
        """The answer is next."""
        self._text.routine("next_answer", self._write_next_answer)
        self._text.op("jump", found)

    # -- lines --------------------------------------------------------------------------------

    def _write_pass_over(self) -> None:
        """Play through all branches before that of the move `led_by`; the board is then as it was."""
        text, ground = self._text, self._ground
        node, again, go, up, back, next_, out, think, lost = (
            text.fresh(stem)
            for stem in ("node_", "branch_", "go_on", "up_", "back_", "next_", "passed", "think_", "lost_")
        )
        text.number(0)
        text.ops("store depth", f"{node}:")
        text.number(-self._setting.moves)
        text.ops("store move", f"{again}:", "load move", "subtract led_by", f"ifnonzero {go}")
        text.ops("load depth", f"ifzero {out}", f"{go}:", "load move")
        text.plus(-self._course.lost)
        text.op("ifzero", up)
        for word in self._kept:
            text.ops(f"load {word}", "by depth", f"store {word}_before")
        text.ops("load move", "by depth", "store tried")
        if self._course.lost:
            text.op("ifzero", lost)
        ground.unless_can(next_, VISITOR)
        ground.play(VISITOR)
        ground.ends(VISITOR, self._ended(VISITOR, back))
        text.label(think)
        text.routine("next_answer", self._write_next_answer)
        text.ops("load move", "by depth", "store answered")
        ground.play(MACHINE)
        text.op("count", "depth")
        ground.ends(MACHINE, self._ended(MACHINE, up))
        text.ops(f"jump {node}", f"{up}:", "load depth")
        text.plus(-1)
        text.ops("store depth", "look answered", "store move")
        ground.undo(MACHINE)
        text.ops(f"{back}:", "load depth", "look tried", "store move")
        for word in self._kept:
            text.ops("load depth", f"look {word}_before", f"store {word}")
        if self._course.lost:
            text.ops("load move", f"ifzero {next_}")
        ground.undo(VISITOR)
        text.ops(f"{next_}:", "count move", f"jump {again}")
        if self._course.lost:
            text.label(lost)
            ground.after_wrong(LOST_TURN, self._ended(LOST_TURN, back))
            text.op("jump", think)
        text.ops(f"{out}:", "back")

    def _ended(self, who: str, label: str) -> dict[str, str]:
        """However the game ends by a move, or a lost turn, the line is at its end."""
        return {how: label for by, how in sorted(self._setting.happens) if by == who}

    # -- answers ------------------------------------------------------------------------------

    def _write_next_answer(self) -> None:
        """`move` becomes the machine's answer: of all that can be made, the one whose place is in the next bits."""
        text, other, again, done = self._text, *map(self._text.fresh, ("none", "legal", "read_"))
        value, more = text.variable("place"), text.variable("more", remark="legal moves beyond the first")
        text.number(-1)
        text.op("store", more)
        text.number(-self._setting.moves)
        text.ops("store move", f"{again}:")
        self._ground.unless_can(other)
        text.ops(f"count {more}", f"{other}:", "count move", f"ifnonzero {again}")
        self._text.number(0)
        bit = text.fresh("bit")
        text.ops(f"{bit}:", f"store {value}", f"load {more}", f"ifzero {done}", "right 1", f"store {more}")
        self._read_bit()
        text.ops(f"add {value}", f"add {value}", f"jump {bit}", f"{done}:", f"load {value}")
        chosen = text.fresh("chosen")
        Moves(self._setting, self._ground, by_place=True).settle(chosen)
        text.ops(f"{chosen}:", "back")

    def _read_bit(self) -> None:
        """A becomes the next bit: what comes out at the top when its word is doubled.

        A word that is begun gets a 1 from below; when that comes out, nothing is left.
        """
        text, bit = self._text, self._text.fresh("next_bit")
        if not self._words:
            raise NotLowered("every answer is forced, so there is nothing to read")
        tree = text.table("tree", self._words, "all answers, bit by bit")
        text.ops("load unread", "add unread", "store unread", f"ifnonzero {bit}")
        self._at.up()
        self._at.index(f"{tree}-1")
        text.ops("store unread", "add unread", "store unread", "count unread", f"{bit}:", "carry")


def _refuse(course: Course) -> None:
    """Raise NotLowered for lines that are not played through."""
    if course.answers > MOST_ANSWERS:
        raise NotLowered(f"more than {MOST_ANSWERS:,} answers are not passed over: it would take too long")
    if not course.in_turn:
        raise NotLowered("lines are played through only where the players move in turn")
    if course.somewhere_lost:
        raise NotLowered("lines are played through only where a turn can be lost on every board or on none")
    if course.forgives:
        raise NotLowered("lines are not played through where plies are counted and wrong input forgiven")
