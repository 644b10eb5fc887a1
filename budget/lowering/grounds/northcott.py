"""Strips with one man of either side: a word for the column of each man."""

from collections import defaultdict
from collections.abc import Mapping
from typing import NoReturn, cast

from budget.lowering.ground import LOST_TURN, MACHINE, VISITOR, Digit, Ground, Setting, by_last_mover
from budget.lowering.text import NotLowered
from games.codes import FIRST, SECOND
from games.inputs import BY_MACHINE, BY_VISITOR
from games.take.northcott import GOES_BACK, JUMPS, Northcott

OTHER = {MACHINE: VISITOR, VISITOR: MACHINE}
MEN = {MACHINE: "mine", VISITOR: "theirs"}


def ground(setting: Setting) -> Ground | None:
    """The ground of a game of strips."""
    return NorthcottGround(setting) if isinstance(setting.game, Northcott) else None


class NorthcottGround:
    """Strips; a move is its strip, in the word `strip` less their count, and the column where the man goes."""

    def __init__(self, setting: Setting) -> None:
        self.text = setting.text
        self._game = cast(Northcott, setting.game)
        self._seat = setting.seat
        self._moves = setting.moves
        self._columns, self._strips = self._game.board.columns, self._game.board.rows
        for words in MEN.values():
            self.text.variable(words, self._strips, "their columns, by strip")

    def set_up(self) -> None:
        """The men as they stand at the start."""
        for who, words in MEN.items():
            sign = "FS"[self._seat if who == MACHINE else 1 - self._seat]
            for strip, signs in enumerate(self._game.strips):
                self.text.number(signs.index(sign))
                self.text.op("store", f"{words}+{strip}")

    # -- moves --------------------------------------------------------------------------------

    def _split(self) -> None:
        self.text.routine("split", self._write_split)

    def _write_split(self) -> None:
        """A subroutine: `strip` and `column` become those of the cell `move`."""
        text, again, done = self.text, self.text.fresh("above"), self.text.fresh("on_strip")
        first, strip, column = text.fresh("first_strip"), text.variable("strip"), text.variable("column")
        text.number(-self._strips)
        text.ops(f"store {strip}", "load move")
        text.plus(self._moves)
        text.ops(
            f"jump {first}", f"{again}:", f"store {column}", f"count {strip}", f"load {column}", f"{first}:"
        )
        text.op("store", column)
        text.plus(-self._columns)
        text.ops(f"ifminus {done}", f"jump {again}", f"{done}:", "back")

    def _man(self, order: str, whose: str) -> None:
        """Work on the column of a man on the strip of the move."""
        self.text.ops("by strip", f"{order} {MEN[whose]}+{self._strips}")

    def judge(self, refused: Mapping[str, str]) -> None:
        """Over the other man, back, onto a man."""
        self._judge(VISITOR, refused)

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """The same for either player."""
        self._judge(who, defaultdict(lambda: label))

    def _judge(self, who: str, refused: Mapping[str, str]) -> None:
        text, taken = self.text, {MACHINE: BY_MACHINE, VISITOR: BY_VISITOR}
        far, near = text.variable("past_own"), text.variable("past_other")
        facing = text.fresh("facing")
        self._split()
        text.op("load", "column")
        self._man("subtract", who)
        text.ops(f"ifzero {refused[taken[who]]}", f"store {far}", "load column")
        self._man("subtract", OTHER[who])
        text.ops(f"ifzero {refused[taken[OTHER[who]]]}", f"store {near}")
        self._man("load", who)
        self._man("subtract", OTHER[who])
        text.op("ifminus", facing)  # the man stands left of the other: columns count up towards it
        for word in (far, near):
            text.ops(f"load {word}", "negate", f"store {word}")
        text.ops(f"{facing}:", f"load {near}")
        self._unless_minus(refused[JUMPS])
        if self._game.forward_only:
            text.ops(f"load {far}", f"ifminus {refused[GOES_BACK]}")

    def _unless_minus(self, label: str) -> None:
        ok = self.text.fresh("no_jump")
        self.text.ops(f"ifminus {ok}", f"jump {label}", f"{ok}:")

    def play(self, who: str) -> None:
        """The man slides."""
        self._split()
        self.text.op("load", "column")
        self._man("store", who)

    def kept(self) -> NoReturn:
        """Slides cannot be taken back yet: raises NotLowered."""
        raise NotLowered("slides cannot be taken back in a program yet")

    def undo(self, who: str) -> NoReturn:
        """The same."""
        self.kept()

    # -- endings ------------------------------------------------------------------------------

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """Whoever is next may have no slide left."""
        self._if_stuck(OTHER[who], labels)

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """Whoever is to move instead may have none."""
        if what == LOST_TURN:
            self._if_stuck(MACHINE, labels)

    def _if_stuck(self, whose: str, labels: Mapping[str, str]) -> None:
        over = by_last_mover(whose, wins=self._game.misere)
        if over in labels:
            self.text.routine(f"{whose}_slides", lambda: self._write_slides(whose))
            self.text.op("ifzero", labels[over])

    def _write_slides(self, whose: str) -> None:
        """A subroutine: A is not 0 if a man of theirs can slide."""
        text, again, out = self.text, self.text.fresh("strip"), self.text.fresh("slides")
        left, right = text.fresh("stands_left"), text.fresh("stands_right")
        back = not self._game.forward_only
        text.number(-self._strips)
        text.ops("store strip", f"{again}:")
        self._man("load", whose)
        self._man("subtract", OTHER[whose])
        text.op("ifminus", left)
        text.ops("negate", f"store {text.variable('gap')}")
        if back:  # the other man stands left of it, so its back is at the last column
            self._man("load", whose)
            text.plus(1 - self._columns)
            text.ops(f"ifnonzero {out}")
        text.ops(f"jump {right}", f"{left}:", "store gap")
        if back:
            self._man("load", whose)
            text.op("ifnonzero", out)
        text.ops(f"{right}:", "load gap")
        text.plus(1)
        text.ops(f"ifnonzero {out}", "count strip", f"ifnonzero {again}", f"{out}:", "back")

    def digits(self) -> tuple[Digit, ...]:
        """The columns: on each strip the first player's man's, then the second's."""
        base = 1 << (self._columns - 1).bit_length()
        first, second = (MEN[MACHINE if seat == self._seat else VISITOR] for seat in (FIRST, SECOND))
        return tuple(
            Digit(f"{words}+{strip}", base) for strip in range(self._strips) for words in (first, second)
        )
