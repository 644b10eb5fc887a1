"""*Make a double threat* and *stop a double threat*, in all its ways."""

from collections.abc import Callable, Sequence

from budget.lowering.answering import Answering
from budget.lowering.answering.asked import Asked
from budget.lowering.ground import MACHINE, VISITOR, Ground, Setting
from budget.lowering.looking import LineGround, Test, look_for, looked_at, seek, unless
from solver import meanings as means


def answering(asked: Asked, setting: Setting, ground: Ground) -> Answering | None:  # noqa: ARG001
    """The way for these two rules."""
    if isinstance(asked.meaning, means.MakesDoubleThreat):
        return _Makes(looked_at(ground))
    if isinstance(asked.meaning, means.StopsDoubleThreat):
        return _Stops(looked_at(ground), asked.meaning.ways)
    return None


class _Makes:
    """The first cell on which a mark of the machine's makes two threats."""

    def __init__(self, ground: LineGround) -> None:
        self._ground = ground

    def answer(self, found: str) -> None:
        """Try each free cell."""
        self._ground.text.remark("make a double threat")
        seek(self._ground, self._ground.pairs(MACHINE, 2), found)


class _Stops:
    """Where the visitor has such a cell: the first cell that a way of the first group allows that allows any."""

    def __init__(self, ground: LineGround, ways: Sequence[Sequence[str]]) -> None:
        self._ground = ground
        self._text = ground.text
        self._ways = ways
        self._unless: dict[str, Callable[[str], None]] = {
            means.OCCUPYING: self._occupying,
            means.ONLY_ONE: self._only_one,
            means.CLEARING: self._clearing,
            means.ANY_THREAT: self._any_threat,
            means.SAFE_THREAT: self._safe_threat,
            means.CLEARING_THREAT: self._clearing_threat,
            means.OCCUPYING_THREAT: self._occupying_threat,
        }

    def answer(self, found: str) -> None:
        """Is there one? Then try each free cell, group by group."""
        text = self._text
        there, out = text.fresh("double"), text.fresh("no_double")
        text.remark("stop a double threat")
        seek(self._ground, self._theirs, there)
        text.ops(f"jump {out}", f"{there}:")
        for group in self._ways:
            if tuple(group) == (means.OCCUPYING,):
                seek(self._ground, self._theirs, found)
                break  # there is one
            self._try_group(group, found)
        text.label(out)

    @property
    def _theirs(self) -> Test:
        return self._ground.pairs(VISITOR, 2)

    def _try_group(self, group: Sequence[str], found: str) -> None:
        """Go on at a label with the first free cell that one of the ways allows."""
        text, ground = self._text, self._ground
        again, other = text.fresh("stop"), text.fresh("stop_next")
        if means.ONLY_ONE in group:
            self._count_theirs()
        text.number(-ground.cells)
        text.ops("store move", f"{again}:")
        ground.unless_can(other)
        for way in group:
            unfit = text.fresh("unfit")
            self._unless[way](unfit)
            text.ops(f"jump {found}", f"{unfit}:")
        text.ops(f"{other}:", "count move", f"ifnonzero {again}")

    # -- ways: each goes on at a label where it does not allow the cell ---------------------------

    def _occupying(self, unfit: str) -> None:
        unless(self._text, self._theirs, unfit)

    def _only_one(self, unfit: str) -> None:
        self._text.op("load", "doubles")
        self._text.plus(-1)
        self._text.op("ifnonzero", unfit)
        self._occupying(unfit)

    def _count_theirs(self) -> None:
        """Let the word `doubles` be how many double-threat cells the visitor has."""
        text, ground = self._text, self._ground
        again, other = text.fresh("count"), text.fresh("count_next")
        text.number(0)
        text.op("store", text.variable("doubles", remark="double-threat cells of the visitor's"))
        text.number(-ground.cells)
        text.ops("store move", f"{again}:")
        ground.unless_can(other)
        unless(text, self._theirs, other)
        text.ops("count doubles", f"{other}:", "count move", f"ifnonzero {again}")

    def _any_threat(self, unfit: str) -> None:
        unless(self._text, self._ground.pairs(MACHINE, 1), unfit)

    def _clearing(self, unfit: str) -> None:
        """Put the mark and look whether the visitor still has such a cell."""
        self._text.routine("clears", self._write_clears)
        self._text.op("ifnonzero", unfit)

    def _write_clears(self) -> None:
        """A subroutine: A becomes 0 if the mark leaves none."""
        text, ground = self._text, self._ground
        self._keep_move()
        ground.play(MACHINE)
        look_for(ground, self._theirs)
        text.op("store", text.variable("seen"))
        self._take_back()

    def _keep_move(self) -> None:
        self._text.ops("load move", f"store {self._text.variable('tried', remark='the cell that is tried')}")

    def _take_back(self) -> None:
        """The end of a subroutine: the cell that was tried free again, and A is `seen`."""
        self._text.ops("load tried", "store move")
        self._ground.undo(MACHINE)
        self._text.ops("load seen", "back")

    def _safe_threat(self, unfit: str) -> None:
        """Put the mark, and let the visitor give each forced answer: there must be one, and none with two threats."""
        self._text.routine("safe", self._write_safe)
        self._text.op("ifzero", unfit)

    def _write_safe(self) -> None:
        """A subroutine: A becomes 0 unless the cell is a safe threat."""
        text, ground, done = self._text, self._ground, self._text.fresh("safe_done")
        again, other = text.fresh("answer"), text.fresh("answer_next")
        self._keep_move()
        ground.block()
        text.number(0)
        text.op("store", text.variable("seen"))
        text.number(-ground.cells)
        text.ops("store move", f"{again}:")
        ground.unless_can(other)
        unless(text, ground.forced(), other)
        ground.play(VISITOR)
        ground.threats(VISITOR)
        text.op("store", "seen")
        ground.undo(VISITOR)
        text.op("load", "seen")
        text.plus(-2)
        text.op("ifminus", f"{other}_safe")
        text.number(0)
        text.ops("store seen", f"jump {done}", f"{other}_safe:")
        text.number(1)
        text.ops("store seen", f"{other}:", "count move", f"ifnonzero {again}", f"{done}:")
        self._take_back()

    def _clearing_threat(self, unfit: str) -> None:
        self._any_threat(unfit)
        self._clearing(unfit)

    def _occupying_threat(self, unfit: str) -> None:
        self._any_threat(unfit)
        self._occupying(unfit)
