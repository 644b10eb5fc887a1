"""Moves from cell to cell by their numbers: tables say from where and to where each of them leads.

Both ends of a move share a word where words are long enough and that makes the program smaller.

Cells are less their count; 0 is no cell (off the board, or both ends of a pass).  Moves that place a man have the
lowest numbers, in the order of the cells, and are in no table: both their ends are that cell.  Names of moves that
nobody can ever make have no number, and `move` is 0 for them.
"""

from collections.abc import Callable, Sequence

from budget.lowering.choices import Choices
from budget.lowering.text import Text

Pair = tuple[int, int]
STARTS, GOALS = "starts", "goals"
"""The ends of moves, and their tables."""


class Pairs:
    """The moves of a game on so many cells that have two ends; `placed`: whether its lowest ones have one."""

    def __init__(
        self, text: Text, choices: Choices, cells: int, pairs: Sequence[Pair], *, placed: bool
    ) -> None:
        self.text = text
        self.cells = cells
        self.count = len(pairs)
        self.moves = self.count + (cells if placed else 0)
        self._placed = placed
        text.needs(-self.moves, self.moves, f"the number of one of {self.moves} moves")
        self._bits = cells.bit_length()
        fit = 2 * self._bits <= text.word_bits
        self._packed = fit and choices.pick("ends", ("in two tables", "in one")) == "in one"
        if self._packed:
            words = [start << self._bits | goal for start, goal in pairs]
            text.table("pairs", words, "where moves lead from, and to")
        else:
            text.table(STARTS, [start - cells for start, _ in pairs], "where moves lead from")
            text.table(GOALS, [goal - cells for _, goal in pairs], "where moves lead to")
        text.variable("move", remark=f"its number, less {self.moves}")
        for name in ("source", "goal"):
            text.variable(name, remark="of a move, less the count of cells")

    def load(self, ends: str, number: str) -> None:
        """A becomes one end, of STARTS or GOALS, of the move whose number stands in a word."""
        if not self._packed:
            self.text.ops(f"by {number}", f"load {ends}+{self.count}")
            return
        half = f"right {self._bits}" if ends == STARTS else f"and ={(1 << self._bits) - 1}"
        self.text.ops(f"by {number}", f"load pairs+{self.count}", half)
        self.text.plus(-self.cells)

    def load_apart(self, number: str) -> None:
        """A becomes how many cells farther the move leads whose number stands in a word."""
        start = self.text.variable("apart")
        self.load(STARTS, number)
        self.text.op("store", start)
        self.load(GOALS, number)
        self.text.op("subtract", start)

    def split(self) -> None:
        """`source` and `goal` become those of `move`."""
        self.text.routine("split", self._write_split)

    def _write_split(self) -> None:
        text, placed = self.text, self.text.fresh("placed")
        if self._placed:
            text.op("load", "move")
            text.plus(self.moves - self.cells)
            text.op("ifminus", placed)
        self.load(STARTS, "move")
        text.op("store", "source")
        self.load(GOALS, "move")
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
        self.load(STARTS, "move")
        text.ops("subtract source", f"ifnonzero {other}")
        self.load(GOALS, "move")
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


def pairs_named(names: Sequence[str], cells: Sequence[str], passing: str) -> list[Pair]:
    """From which cell to which moves lead, by their names; a pass leads from nowhere to nowhere.

    cells: their names, and last the word for what is off the board, which is nowhere.
    """
    number = {name: cell for cell, name in enumerate(cells)}
    nowhere = (len(cells) - 1, len(cells) - 1)
    ends = [name.split("-") for name in names]
    return [nowhere if end == [passing] else (number[end[0]], number[end[1]]) for end in ends]


def jump_if_among(text: Text, word: str, count: int, cells: Sequence[int], label: str) -> None:
    """Go on at a label if a word holds one of some cells, less the count of all."""
    added = 0
    text.op("load", word)
    for cell in cells:
        text.plus(count - cell - added)  # 0 for just this cell
        text.op("ifzero", label)
        added = count - cell
