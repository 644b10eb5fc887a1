"""Rules on boards where marks fall: a move is a column, and what counts is the cell to which a mark would fall now."""

from budget.lowering.answering import Answering
from budget.lowering.answering.asked import Asked
from budget.lowering.ground import MACHINE, VISITOR, Ground, Setting
from budget.lowering.grounds.gravity import GravityGround
from solver.meanings import MINE, AnyOf, FillsALine, FirstOf


def answering(asked: Asked, setting: Setting, ground: Ground) -> Answering | None:
    """The way for cells, and for lines to fill."""
    meaning = asked.meaning
    if not isinstance(ground, GravityGround):
        return None
    if isinstance(meaning, FillsALine):
        return _Fills(setting, ground, MACHINE if meaning.whose == MINE else VISITOR)
    if isinstance(meaning, AnyOf):
        return _AnyOf(setting, ground, set(meaning.cells))
    return _FirstOf(setting, ground, meaning.cells) if isinstance(meaning, FirstOf) else None


class _Fills:
    """The first column in which a mark would fill a line for a side."""

    def __init__(self, setting: Setting, ground: GravityGround, who: str) -> None:
        self._text, self._ground, self._who = setting.text, ground, who
        self._columns = setting.moves

    def answer(self, found: str) -> None:
        """Let a mark fall in each column, and take it back."""
        text, ground, who = self._text, self._ground, self._who
        again, other, full = text.fresh("fall"), text.fresh("fall_next"), text.fresh("fall_lined")
        text.number(-self._columns)
        text.ops("store move", f"{again}:")
        ground.unless_can(other)
        ground.play(who)
        ground.if_lined(who, full)
        ground.undo(who)
        text.ops(f"{other}:", "count move", f"ifnonzero {again}")
        out = text.fresh("fallen")
        text.ops(f"jump {out}", f"{full}:")
        ground.undo(who)
        text.ops(f"jump {found}", f"{out}:")


class _AnyOf:
    """The first column whose mark falls to one of some cells."""

    def __init__(self, setting: Setting, ground: GravityGround, cells: set[int]) -> None:
        self._text, self._ground, self._cells = setting.text, ground, cells
        self._columns = setting.moves

    def answer(self, found: str) -> None:
        """Look at each column."""
        text, every = self._text, range(self._ground.cells)
        again, other = text.fresh("column"), text.fresh("column_next")
        text.number(-self._columns)
        text.ops("store move", f"{again}:")
        self._ground.unless_can(other)
        if self._cells != set(every):
            wanted = text.table(text.fresh("wanted"), [int(cell in self._cells) for cell in every])
            self._ground.load_low()
            text.ops(f"look {wanted}", f"ifzero {other}")
        text.ops(f"jump {found}", f"{other}:", "count move", f"ifnonzero {again}")


class _FirstOf:
    """The first of some cells to which a mark can fall now."""

    def __init__(self, setting: Setting, ground: GravityGround, cells: tuple[int, ...]) -> None:
        self._text, self._ground, self._cells = setting.text, ground, cells
        self._columns = setting.moves

    def answer(self, found: str) -> None:
        """Look at the column of each."""
        text = self._text
        for cell in self._cells:
            other = text.fresh("cell_not")
            text.number(cell % self._columns - self._columns)
            text.op("store", "move")
            self._ground.load_low()
            text.plus(-cell)
            text.ops(f"ifnonzero {other}", f"jump {found}", f"{other}:")
