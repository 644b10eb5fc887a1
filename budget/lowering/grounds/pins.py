"""Rows of pins: a word for each pin, 1 where it stands, and beside the ends of every row a word that is always 0."""

from collections.abc import Mapping
from typing import cast

from budget.lowering.ground import MACHINE, Digit, Ground, Setting, by_last_mover
from games.take.octal import ANYTHING
from games.take.pins import PIN_GONE, Pins
from games.take.taking import NOT_THAT_MANY, WRONG_REST


def ground(setting: Setting) -> Ground | None:
    """The ground of a game of pins."""
    return PinsGround(setting) if isinstance(setting.game, Pins) else None


class PinsGround:
    """Rows of pins; a move is told by two tables, of its first pin and of how many it takes."""

    def __init__(self, setting: Setting) -> None:
        self.text = setting.text
        game = cast(Pins, setting.game)
        self._misere = game.misere
        self._digits = game.octal.digits
        self._moves = setting.moves
        self._words = [
            1 + sum(game.rows[:row]) + row + pin for row, pins in enumerate(game.rows) for pin in range(pins)
        ]
        self._count = self._words[-1] + 2
        self.text.needs(-self._moves, max(self._moves, self._count), "the number of a pin")
        self.text.variable("pins", self._count, "a gap, and each row with a gap behind it")
        stretches = [
            (row, first, number)
            for row, pins in enumerate(game.rows)
            for first in range(pins)
            for number in range(1, min(len(self._digits), pins - first) + 1)
        ]
        begins = [1 + sum(game.rows[:row]) + row for row in range(len(game.rows))]
        self._firsts = self.text.table(
            "firsts", [begins[row] + first for row, first, _ in stretches], "first pins"
        )
        self._numbers = self.text.table(
            "numbers", [-number for *_, number in stretches], "pins taken, negative"
        )

    def set_up(self) -> None:
        """Every pin stands, with the gaps between the rows."""
        text, again, at = self.text, self.text.fresh("stand"), self.text.variable("pin")
        text.number(-self._count)
        text.ops(f"store {at}", f"{again}:")
        text.number(1)
        text.ops(f"by {at}", f"store pins+{self._count}", f"count {at}", f"ifnonzero {again}")
        for gap in sorted(set(range(self._count)) - set(self._words)):
            text.op("store", f"pins+{gap}")  # A is 0

    # -- moves --------------------------------------------------------------------------------

    def _begin(self, number: str) -> None:
        """Let `pin` be the first pin of the move whose number a word holds, and `to_fall` how many fall, negative."""
        text = self.text
        text.ops(f"by {number}", f"load {self._firsts}+{self._moves}", f"store {text.variable('pin')}")
        text.ops(f"by {number}", f"load {self._numbers}+{self._moves}", f"store {text.variable('to_fall')}")

    def _reason(self, number: str) -> None:
        """A becomes the place of the first reason against a move, counted from 1; 0 if it can be made."""
        self._begin(number)
        self.text.routine("reason", self._write_reason)

    def _write_reason(self) -> None:
        text, again, gone = self.text, self.text.fresh("pin"), self.text.fresh("gone")
        rest, digit = text.variable("rest"), text.variable("digit", remark="what may be left, as bits")
        text.ops("load to_fall", "negate", f"look {text.table('octal', self._digits, 'what may be left')}-1")
        text.op("store", digit)
        if 0 in self._digits:
            never = text.fresh("never")
            text.op("ifzero", never)
        text.ops(
            "by pin", "load pins-1", f"store {rest}", f"{again}:", "by pin", "load pins", f"ifzero {gone}"
        )
        text.ops("count pin", "count to_fall", f"ifnonzero {again}")
        legal = text.fresh("legal")
        if any(each not in (0, ANYTHING) for each in self._digits):
            text.ops(
                "by pin",
                "load pins",
                f"add {rest}",
                f"store {rest}",
                f"load {digit}",
                f"by {rest}",
                "right 0",
            )
            text.ops("and =1", f"ifnonzero {legal}")
            text.number(3)
            text.op("back")
        text.label(legal)
        text.number(0)
        text.ops("back", f"{gone}:")
        text.number(2)
        text.op("back")
        if 0 in self._digits:
            text.label(never)
            text.number(1)
            text.op("back")

    def judge(self, refused: Mapping[str, str]) -> None:
        """In the family's order: so many can never be taken, a pin is gone, what is left."""
        text, legal = self.text, self.text.fresh("legal")
        self._reason("move")
        text.op("ifzero", legal)
        reasons = {NOT_THAT_MANY: 1, PIN_GONE: 2, WRONG_REST: 3}
        possible = [(place, refused[reason]) for reason, place in reasons.items() if reason in refused]
        told = 0
        for place, label in possible[:-1]:
            text.plus(told - place)
            text.op("ifzero", label)
            told = place
        text.ops(f"jump {possible[-1][1]}", f"{legal}:")

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """The same for either player."""
        self._reason("move")
        self.text.op("ifnonzero", label)

    def play(self, who: str) -> None:
        """The pins fall."""
        self._set(0)

    def _set(self, value: int) -> None:
        """Let the pins of the move be gone, or stand."""
        text, again = self.text, self.text.fresh("fall")
        self._begin("move")
        text.label(again)
        text.number(value)
        text.ops("by pin", "store pins", "count pin", "count to_fall", f"ifnonzero {again}")

    def kept(self) -> tuple[str, ...]:
        """Nothing else changes."""
        return ()

    def undo(self, who: str) -> None:
        """The pins stand again."""
        self._set(1)

    # -- endings ------------------------------------------------------------------------------

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """Nothing can be taken any more."""
        over = by_last_mover(who, wins=not self._misere)
        if over in labels:
            self.text.routine("takeable", self._write_takeable)
            self.text.op("ifzero", labels[over])

    def _write_takeable(self) -> None:
        """A subroutine: A is 0 if there is no move."""
        text, again, out = self.text, self.text.fresh("try"), self.text.fresh("takeable")
        tried = text.variable("tried")
        text.number(-self._moves)
        text.ops(f"store {tried}", f"{again}:")
        self._reason(tried)
        text.ops(f"ifzero {out}", f"count {tried}", f"ifnonzero {again}", f"{out}:", f"load {tried}", "back")

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """Nothing comes of it: what one player can take the other can, too."""

    def digits(self) -> tuple[Digit, ...]:
        """The pins."""
        return tuple(Digit(f"pins+{word}", 2) for word in self._words)
