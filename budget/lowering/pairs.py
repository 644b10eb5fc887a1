"""Moves from cell to cell by their numbers: two tables say from where and to where each of them leads.

Cells are less their count; 0 is no cell (off the board, or both ends of a pass).  Moves that place a man have the
lowest numbers, in the order of the cells, and are in no table: both their ends are that cell.  Names of moves that
nobody can ever make have no number, and `move` is 0 for them.
"""

from collections.abc import Callable, Sequence

from budget.lowering.text import Text

Pair = tuple[int, int]


class Pairs:
    """The moves of a game on so many cells that have two ends; `placed`: whether its lowest ones have one."""

    def __init__(self, text: Text, cells: int, pairs: Sequence[Pair], *, placed: bool) -> None:
        self.text = text
        self.cells = cells
        self.count = len(pairs)
        self.moves = self.count + (cells if placed else 0)
        self._placed = placed
        text.needs(-self.moves, self.moves, f"the number of one of {self.moves} moves")
        self.starts = text.table("starts", [start - cells for start, _ in pairs], "where moves lead from")
        self.goals = text.table("goals", [goal - cells for _, goal in pairs], "where moves lead to")
        text.variable("move", remark=f"its number, less {self.moves}")
        for name in ("source", "goal"):
            text.variable(name, remark="of a move, less the count of cells")

    def load(self, ends: str, number: str) -> None:
        """A becomes one end, `starts` or `goals`, of the move whose number stands in a word."""
        self.text.ops(f"by {number}", f"load {ends}+{self.count}")

    def split(self) -> None:
        """`source` and `goal` become those of `move`."""
        self.text.routine("split", self._write_split)

    def _write_split(self) -> None:
        text, placed = self.text, self.text.fresh("placed")
        if self._placed:
            text.op("load", "move")
            text.plus(self.moves - self.cells)
            text.op("ifminus", placed)
        self.load(self.starts, "move")
        text.op("store", "source")
        self.load(self.goals, "move")
        text.ops("store goal", "back")
        if self._placed:
            text.ops(f"{placed}:", "store source", "store goal", "back")

    def find(self) -> None:
        """`move` becomes the number of the move from `source` to `goal`; 0 if nobody can ever make that."""
        text = self.text
        again, other, found = text.fresh("pair"), text.fresh("pair_not"), text.fresh("pair_found")
        if self._placed:
            step = text.fresh("step")
            text.ops("load source", f"ifzero {step}", "subtract goal", f"ifnonzero {step}", "load goal")
            text.plus(self.cells - self.moves)
            text.ops("store move", f"jump {found}", f"{step}:")
        text.number(-self.count)
        text.ops("store move", f"{again}:")
        self.load(self.starts, "move")
        text.ops("subtract source", f"ifnonzero {other}")
        self.load(self.goals, "move")
        text.ops("subtract goal", f"ifzero {found}", f"{other}:", "count move", f"ifnonzero {again}")
        text.label(found)

    def each(self, test: Callable[[str], None]) -> None:
        """A is not 0 if some pair passes a test, which is told the word with its number and leaves A not 0."""
        text, again, out = self.text, self.text.fresh("way"), self.text.fresh("way_found")
        way = text.variable("way", remark="the number of a move that is tried")
        text.number(-self.count)
        text.ops(f"store {way}", f"{again}:")
        test(way)
        text.ops(f"ifnonzero {out}", f"count {way}", f"ifnonzero {again}", f"{out}:")
