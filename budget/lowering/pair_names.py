"""Moves that are named by cells: one cell, or the cells from which and to which a man goes, or a word.

What is read stands in the words `source` and `goal`, cells less their count; 0 is no cell: a goal of 0 is off the
board, and both are 0 for a pass.  A move that is one cell has it in both.
"""

from collections.abc import Sequence
from typing import NamedTuple

from budget.characters import CharacterCode
from budget.lowering.cell_names import CellNames, Line, SignNames, cell_names, say_codes
from budget.lowering.saying import Saying
from budget.lowering.text import NotLowered, Text
from budget.lowering.units import codes_of
from games.game import Game
from games.limited import LimitedGame

BETWEEN = "-"


class Spelling(NamedTuple):
    """How moves are named.

    alone, pairs: whether some are named by one cell, and by two; off, passing: the words for these, or none.
    """

    cells: tuple[str, ...]
    alone: bool
    pairs: bool
    off: str
    passing: str


def spelling_of(names: Sequence[str], cells: Sequence[str]) -> Spelling | None:
    """How these moves are named; None if some are named in another way."""
    known = set(cells)
    words = [name for name in names if BETWEEN not in name and name not in known]
    alone = [name for name in names if name in known]
    pairs = [name.split(BETWEEN) for name in names if BETWEEN in name]
    offs = {pair[1] for pair in pairs} - known
    is_usual = all(len(pair) == 2 and pair[0] in known for pair in pairs)
    if len(words) > 1 or len(offs) > 1 or not is_usual:
        return None
    return Spelling(tuple(cells), bool(alone), bool(pairs), "".join(offs), "".join(words))


def cells_named(game: Game) -> tuple[str, ...]:
    """The names of a game's cells; none where it has no board."""
    bare = game.unlimited if isinstance(game, LimitedGame) else game
    return tuple(bare.board.names) if hasattr(bare, "board") else ()


class PairNames:
    """Reads and prints moves that are spelled so."""

    def __init__(self, text: Text, saying: Saying, spelling: Spelling, names: Sequence[str]) -> None:
        self.text, self._saying, self._spelling = text, saying, spelling
        self._code: CharacterCode = text.card.characters.code
        cells = cell_names(self._code, spelling.cells)
        if cells is None:
            raise NotLowered(
                "the names of its cells are made in a way in which programs cannot read them yet"
            )
        self._cells: CellNames = cells
        self.count = cells.count
        text.needs(-cells.count, cells.count, f"the number of one of {cells.count} cells")
        for name in names:
            if self._spoken(name) != codes_of(self._code, name.upper()):
                raise NotLowered("names of its moves change the case of the printer in a way not written yet")

    def _before(self) -> tuple[int, ...]:
        """What is printed before the first cell."""
        return self._cells.before if isinstance(self._cells, SignNames) else ()

    def _spoken(self, name: str) -> tuple[int, ...]:
        """The codes that are printed for a move."""
        if name == self._spelling.passing:
            return codes_of(self._code, name.upper())
        first, *second = name.split(BETWEEN)
        codes = (*self._before(), *self._cells.spoken(first))
        if second:
            codes = (*codes, *self._between())
            off = second[0] == self._spelling.off
            codes = (
                *codes,
                *(codes_of(self._code, second[0].upper()) if off else self._cells.spoken(second[0])),
            )
        return codes

    def _between(self) -> tuple[int, ...]:
        return codes_of(self._code, BETWEEN)[-1:]

    # -- reading ------------------------------------------------------------------------------

    def find(self, line: Line, unknown: str) -> None:
        """`source` and `goal` of the move that the line names; go on at a label if it names none."""
        text, spelling = self.text, self._spelling
        source, goal = text.variable("source"), text.variable("goal")
        done = text.fresh("named")
        no_cell = text.fresh("no_cell") if spelling.passing else unknown
        line.begin(unknown)
        self._read_cell(line)
        text.ops(f"ifzero {no_cell}", f"store {source}")
        if spelling.alone:
            text.op("store", goal)
        line.next()
        if spelling.alone:
            self._if_end(line, done)
            text.op("load", "key")
        text.plus(-line.value(BETWEEN))
        text.op("ifnonzero", unknown)
        self._read_goal(line, unknown)
        if spelling.passing:
            text.ops(f"jump {done}", f"{no_cell}:")
            line.rewind()
            line.expect(spelling.passing, unknown)
            line.expect_end(unknown)
            text.number(0)
            text.ops(f"store {source}", f"store {goal}")
        text.label(done)

    def _if_end(self, line: Line, label: str) -> None:
        self.text.jump_if(line.keyboard.return_key, label)

    def _read_goal(self, line: Line, unknown: str) -> None:
        text, spelling = self.text, self._spelling
        off, stored = text.fresh("off"), text.fresh("goal")
        at = text.variable("goal_at") if spelling.off else ""
        if spelling.off:
            text.ops("load spot", f"store {at}")
        self._read_cell(line)
        text.ops(
            f"ifzero {off if spelling.off else unknown}", "store goal", "subtract source", f"ifzero {unknown}"
        )
        line.expect_end(unknown)
        if spelling.off:
            text.ops(f"jump {stored}", f"{off}:", f"load {at}", "store spot")
            line.expect(spelling.off, unknown)
            line.expect_end(unknown)
            text.ops("store goal", f"{stored}:")

    def _read_cell(self, line: Line) -> None:
        self.text.routine("read_cell", lambda: self._cells.read(line))

    # -- printing -----------------------------------------------------------------------------

    def print_move(self) -> None:
        """Print the name of the move in `source` and `goal`."""
        text, spelling = self.text, self._spelling
        done, passing = text.fresh("printed"), text.fresh("print_pass")
        if spelling.passing:
            text.ops("load source", f"ifzero {passing}")
        say_codes(text, self._before())
        text.op("load", "source")
        self._print_cell()
        if spelling.alone:
            text.ops("load goal", "subtract source", f"ifzero {done}")
        say_codes(text, self._between())
        if spelling.off:
            on = text.fresh("print_goal")
            text.ops("load goal", f"ifnonzero {on}")
            self._saying.say(codes_of(self._code, spelling.off.upper()), spelling.off)
            text.ops(f"jump {done}", f"{on}:")
        text.op("load", "goal")
        self._print_cell()
        if spelling.passing:
            text.ops(f"jump {done}", f"{passing}:")
            self._saying.say(codes_of(self._code, spelling.passing.upper()), spelling.passing)
        text.label(done)

    def _print_cell(self) -> None:
        self.text.routine("print_cell", self._write_print)

    def _write_print(self) -> None:
        self._cells.print_cell(self.text)
        self.text.op("back")
