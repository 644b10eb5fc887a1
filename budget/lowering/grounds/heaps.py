"""Heaps from which players take: a word for the size of each.

Where there are several, a move is split into its heap, in the word `heap`, and the number that it takes, in `took`.
"""

from collections import defaultdict
from collections.abc import Mapping
from typing import cast

from budget.lowering.ground import MACHINE, Digit, Ground, Setting, by_last_mover
from games.take.heaps import HEAP_GONE, TOO_MANY, Heaps
from games.take.octal import NOTHING, ONE_ROW, UNSPLIT
from games.take.taking import NOT_THAT_MANY, WRONG_REST


def ground(setting: Setting) -> Ground | None:
    """The ground of a game of heaps."""
    return HeapsGround(setting) if isinstance(setting.game, Heaps) else None


class HeapsGround:
    """Heaps in fixed places."""

    def __init__(self, setting: Setting) -> None:
        self.text = setting.text
        self._moves = setting.moves
        game = cast(Heaps, setting.game)
        self._misere = game.misere
        self._sizes = game.heaps
        self._digits = game.octal.digits
        self._count = len(self._sizes)
        self.text.needs(0, sum(self._sizes), "how many counters there are")
        self._heaps = self.text.variable("heaps", self._count, "their sizes")
        self._at = f"{self._heaps}+{self._count}" if self._count > 1 else self._heaps

    def set_up(self) -> None:
        """Every heap as large as it begins."""
        for heap, size in enumerate(self._sizes):
            if heap == 0 or size != self._sizes[heap - 1]:
                self.text.number(size)
            self.text.op("store", f"{self._heaps}+{heap}")

    # -- moves --------------------------------------------------------------------------------

    def _split(self) -> None:
        self.text.routine("split", self._write_split)

    def _write_split(self) -> None:
        """A subroutine: `took` becomes how many `move` takes, and `heap` from which heap, less their count."""
        text, took = self.text, self.text.variable("took", remark="how many the move takes")
        text.op("load", "move")
        text.plus(self._moves + 1)
        text.op("store", took)
        if self._count > 1:
            spans = [min(size, len(self._digits)) for size in self._sizes]
            again, found = text.fresh("heap"), text.fresh("heap_found")
            heap = text.variable("heap", remark="the heap of the move, less their count")
            text.number(-self._count)
            text.ops(f"store {heap}", f"{again}:", f"load {took}")
            if len(set(spans)) == 1:
                text.plus(-spans[0])
            else:
                text.table("spans", spans, "how many moves each heap has")
                text.ops(f"by {heap}", f"subtract spans+{self._count}")
            text.ops(f"ifzero {found}", f"ifminus {found}", f"store {took}", f"count {heap}", f"jump {again}")
            text.label(found)
        text.op("back")

    def _on_heap(self, order: str) -> None:
        """Work on the heap of the move."""
        if self._count > 1:
            self.text.op("by", "heap")
        self.text.op(order, self._at)

    def judge(self, refused: Mapping[str, str]) -> None:
        """In the family's order: so many can never be taken, nothing is there, not so many are, what is left."""
        text = self.text
        self._split()
        if 0 in self._digits:
            self._load_digit()
            text.op("ifzero", refused[NOT_THAT_MANY])
        self._on_heap("load")
        if len(self._digits) > 1 and refused[HEAP_GONE] != refused[TOO_MANY]:
            text.op("ifzero", refused[HEAP_GONE])
        text.op("subtract", "took")
        text.op("ifminus", refused[TOO_MANY if len(self._digits) > 1 else HEAP_GONE])
        if any(digit in (NOTHING, ONE_ROW) for digit in self._digits):
            self._judge_rest(refused[WRONG_REST])

    def _judge_rest(self, label: str) -> None:
        """What is left is in A: leave if a heap may not be left so."""
        text, ok, some = self.text, self.text.fresh("legal"), self.text.fresh("leaves_some")
        rest = text.variable("rest", remark="what the move leaves of its heap")
        text.op("store", rest)
        self._load_digit()
        text.jump_if(UNSPLIT, ok)
        text.plus(UNSPLIT - ONE_ROW)
        text.ops(f"ifzero {some}", f"load {rest}", f"ifnonzero {label}", f"jump {ok}")
        text.ops(f"{some}:", f"load {rest}", f"ifzero {label}", f"{ok}:")

    def _load_digit(self) -> None:
        table = self.text.table("octal", self._digits, "what may be left of a heap, by what is taken")
        self.text.ops("load took", f"look {table}-1")

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """As for the visitor."""
        self.judge(defaultdict(lambda: label))

    def play(self, who: str) -> None:
        """Take so many."""
        self._split()
        self._on_heap("load")
        self.text.op("subtract", "took")
        self._on_heap("store")

    def kept(self) -> tuple[str, ...]:
        """Nothing: what was taken is put back."""
        return ()

    def undo(self, who: str) -> None:
        """Put back what was taken."""
        self._split()
        self._on_heap("load")
        self.text.op("add", "took")
        self._on_heap("store")

    # -- endings ------------------------------------------------------------------------------

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """Nothing can be taken any more."""
        over = by_last_mover(who, wins=not self._misere)
        if over in labels:
            self._unless_playable(labels[over])

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """Nothing comes of it: what one player can take the other can, too."""

    def _unless_playable(self, label: str) -> None:
        text = self.text
        can = [_can_be_taken_from(size, self._digits) for size in range(max(self._sizes) + 1)]
        if all(can[1:]):
            text.op("load", f"{self._heaps}+0")
            for heap in range(1, self._count):
                text.op("add", f"{self._heaps}+{heap}")
            text.op("ifzero", label)
            return
        table, on = (
            text.table("playable", map(int, can), "sizes from which something can be taken"),
            text.fresh("on"),
        )
        for heap in range(self._count):
            text.ops(f"load {self._heaps}+{heap}", f"look {table}", f"ifnonzero {on}")
        text.ops(f"jump {label}", f"{on}:")

    def digits(self) -> tuple[Digit, ...]:
        """The sizes."""
        return tuple(
            Digit(f"{self._heaps}+{heap}", 1 << size.bit_length()) for heap, size in enumerate(self._sizes)
        )


def _can_be_taken_from(size: int, digits: tuple[int, ...]) -> bool:
    return any(digit >> (size > number) & 1 for number, digit in enumerate(digits[:size], 1))
