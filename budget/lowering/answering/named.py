"""The rules that have names, on a board of marks."""

from collections.abc import Sequence

from budget.lowering.grounds.marks import OWN, THEIRS, MarksGround


class FillsALine:
    """*Complete a line* or *block a line*: the first free cell that would fill a line for a side."""

    def __init__(self, ground: MarksGround, mark: int) -> None:
        self._ground = ground
        self._mark = mark

    def answer(self, found: str) -> None:
        """Try a mark on each free cell."""
        text = self._ground.text
        text.remark("complete a line" if self._mark == OWN else "block a line")
        text.number(self._mark)
        text.routine("try_each", self._write_routine)
        text.op("ifnonzero", found)

    def _write_routine(self) -> None:
        text, cells = self._ground.text, self._ground.cells
        mark, lined = text.variable("mark"), text.variable("lined_by")
        text.op("store", mark)
        text.number(-cells)
        text.ops("store move", "try:", "by move", f"load board+{cells}", "ifnonzero try_next")
        text.ops(f"load {mark}", "by move", f"store board+{cells}")
        text.routine("lined", self._ground.write_lined)
        text.op("store", lined)
        text.number(0)
        text.ops("by move", f"store board+{cells}", f"load {lined}", "ifnonzero tried")
        text.ops("try_next:", "count move", "ifnonzero try", "tried:", "back")


class TakesCells:
    """The first free one of some cells, in the order given."""

    def __init__(self, ground: MarksGround, cells: Sequence[int], remark: str) -> None:
        self._ground = ground
        self._cells = cells
        self._remark = remark

    def answer(self, found: str) -> None:
        """Look at each in turn."""
        text, cells = self._ground.text, self._ground.cells
        text.remark(self._remark)
        if list(self._cells) == list(range(cells)):
            again = text.fresh("any")
            text.number(-cells)
            text.ops("store move", f"{again}:", "by move", f"load board+{cells}", f"ifzero {found}")
            text.ops("count move", f"ifnonzero {again}")
            return
        for cell in self._cells:
            text.number(cell - cells)
            text.ops("store move", f"load board+{cell}", f"ifzero {found}")


__all__ = ["OWN", "THEIRS", "FillsALine", "TakesCells"]
