"""Hex: a word for each cell, and another board with a rim on which a chain grows from the side where it begins.

A cell holds 0 where it is free, 1 for the machine's mark and 2 for the visitor's.
"""

from collections.abc import Mapping
from typing import cast

from budget.lowering.ground import MACHINE, VISITOR, Digit, Ground, Setting, by_last_mover
from games.codes import FIRST
from games.fill.hex import Hex
from games.inputs import BY_MACHINE, BY_VISITOR

MARK = {MACHINE: 1, VISITOR: 2}


def ground(setting: Setting) -> Ground | None:
    """The ground of a game of hex."""
    return HexGround(setting) if isinstance(setting.game, Hex) else None


class HexGround:
    """A rhombus of cells."""

    def __init__(self, setting: Setting) -> None:
        self.text = setting.text
        game = cast(Hex, setting.game)
        self._misere = game.misere
        self._seat = {MACHINE: setting.seat, VISITOR: 1 - setting.seat}
        self._columns, self._rows, self._cells = game.board.columns, game.board.rows, game.board.size
        self._wide = self._columns + 2
        self._rimmed = self._wide * (self._rows + 2)
        self.text.needs(-self._rimmed, self._rimmed, "a place on the board with its rim")
        self.text.variable("board", self._cells)

    def set_up(self) -> None:
        """Every cell free."""
        self._clear("board", self._cells, "move")

    def _clear(self, words: str, count: int, at: str) -> None:
        text, again = self.text, self.text.fresh("clear")
        text.number(-count)
        text.ops(f"store {at}", f"{again}:")
        text.number(0)
        text.ops(f"by {at}", f"store {words}+{count}", f"count {at}", f"ifnonzero {again}")

    def judge(self, refused: Mapping[str, str]) -> None:
        """A taken cell is refused."""
        text, free = self.text, self.text.fresh("legal")
        text.ops("by move", f"load board+{self._cells}", f"ifzero {free}")
        if refused[BY_MACHINE] != refused[BY_VISITOR]:
            text.jump_if(MARK[MACHINE], refused[BY_MACHINE])
        text.ops(f"jump {refused[BY_VISITOR]}", f"{free}:")

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """The same for either player."""
        self.text.ops("by move", f"load board+{self._cells}", f"ifnonzero {label}")

    def play(self, who: str) -> None:
        """A mark on the cell."""
        self._mark(MARK[who])

    def _mark(self, mark: int) -> None:
        self.text.number(mark)
        self.text.ops("by move", f"store board+{self._cells}")

    def kept(self) -> tuple[str, ...]:
        """Nothing else changes."""
        return ()

    def undo(self, who: str) -> None:
        """The cell free again."""
        self._mark(0)

    # -- chains -------------------------------------------------------------------------------

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """Whoever has moved may have joined their sides."""
        over = by_last_mover(who, wins=not self._misere)
        if over in labels:
            self._grow_from(who)
            text, ends = self.text, self._side(who, is_end=True)
            text.op("load", f"chain+{ends[0]}")
            for place in ends[1:]:
                text.op("add", f"chain+{place}")
            text.op("ifnonzero", labels[over])

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """Nothing comes of it."""

    def _side(self, who: str, *, is_end: bool) -> list[int]:
        """Places of the rimmed board: the rim where a player's chains begin, or the cells where they end."""
        if self._seat[who] == FIRST:
            row = self._rows if is_end else 0
            return [row * self._wide + column for column in range(1, self._columns + 1)]
        column = self._columns if is_end else 0
        return [row * self._wide + column for row in range(1, self._rows + 1)]

    def _grow_from(self, who: str) -> None:
        """Let `chain` hold 1 wherever marks of theirs hang together with the side where their chains begin."""
        text = self.text
        text.variable("chain", self._rimmed, "the board with a rim: 1 where the chain is")
        self.text.routine("clear_chain", self._write_clear)
        text.number(1)
        for place in self._side(who, is_end=False):
            text.op("store", f"chain+{place}")
        text.number(MARK[who])
        text.routine("grow", self._write_grow)

    def _write_clear(self) -> None:
        self._clear("chain", self._rimmed, self.text.variable("place"))
        self.text.op("back")

    def _write_grow(self) -> None:
        """A subroutine: every cell with the mark in A beside the chain joins it, until none does any more."""
        text, count, wide = self.text, self._cells, self._wide
        mark, grown, cell, place = map(text.variable, ("grown_by", "grown", "cell", "place"))
        again, each, other = text.fresh("grow"), text.fresh("grow_cell"), text.fresh("grow_not")
        places = [
            (row + 1) * wide + column + 1 for row in range(self._rows) for column in range(self._columns)
        ]
        table = text.table("places", places, "where cells are on the board with its rim")
        text.ops(f"store {mark}", f"{again}:")
        text.number(0)
        text.op("store", grown)
        text.number(-count)
        text.ops(f"store {cell}", f"{each}:", f"by {cell}", f"load board+{count}", f"subtract {mark}")
        text.ops(f"ifnonzero {other}", f"by {cell}", f"load {table}+{count}", f"store {place}")
        text.ops(f"by {place}", "load chain", f"ifnonzero {other}")
        for number, far in enumerate((-1, 1, -wide, wide, 1 - wide, wide - 1)):
            text.ops(f"by {place}", f"{'add' if number else 'load'} chain{far:+}")
        text.op("ifzero", other)
        text.number(1)
        text.ops(
            f"by {place}", "store chain", f"store {grown}", f"{other}:", f"count {cell}", f"ifnonzero {each}"
        )
        text.ops(f"load {grown}", f"ifnonzero {again}", "back")

    def digits(self) -> tuple[Digit, ...]:
        """The cells."""
        return tuple(Digit(f"board+{cell}", 3) for cell in range(self._cells))
