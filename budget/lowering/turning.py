"""Turning in a program: the board is turned to its least image, a move is found there, and both are turned back.

The board is turned in place, step by step, through all its images and back to itself; each step exchanges words.  A
first round finds the step at which the image is least, a second one stops there to find the move, and the steps
that are left bring the board home, and the move with it.
"""

from typing import NamedTuple, cast

from budget.boards import numberings
from budget.lowering.answering import Answering
from budget.lowering.answering.following import Following
from budget.lowering.answering.table_words import BoardNumber, row_of
from budget.lowering.ground import MACHINE, VISITOR, Digit, Ground, Setting
from budget.lowering.grounds.bits import BitsGround
from budget.lowering.grounds.marks import OWN, THEIRS, MarksGround
from budget.lowering.text import NotLowered, WrongWay
from budget.lowering.turning_walk import exchanged, walk_of
from budget.lowering.wide import Wide
from games.codes import SECOND
from games.marks.marks import Marks


class Cells(NamedTuple):
    """The words that turn, one after the other, beginning at a label.

    bases: of the digits that they stand for; theirs: what a word holds with a mark of the visitor's, 1 being the
    machine's mark, or None where words hold no marks.
    """

    label: str
    bases: tuple[int, ...]
    theirs: int | None

    @property
    def total(self) -> int:
        """How many words."""
        return len(self.bases)


class Turning:
    """A way to find moves on the least image of the board; `inner` finds one wherever it is asked.

    digits_only: it looks at nothing but the digits of the board (see `seen_turned`).
    """

    def __init__(
        self, setting: Setting, ground: Ground, inner: Answering, *, digits_only: bool = False
    ) -> None:
        if isinstance(ground, MarksGround) and type(setting.game) is not Marks and not digits_only:
            raise NotLowered("not all words of its board are turned")
        self._setting = setting
        self._text = setting.text
        self._inner = inner
        self._cells = cells = _cells_of(setting, ground)
        self._walk = walk_of(setting.play, cells.bases)
        self._marker = 2 * (cells.theirs or 1) + 1
        self._number = BoardNumber(setting, ground, 0) if cells.theirs is None else None
        most = (1 << cells.total) - 1
        names = () if cells.theirs is None else ("own", "theirs")
        sets = [Wide(self._text, name, most) for name in names]
        self._sets = sets if setting.seat == SECOND else sets[::-1]
        numbers = self._sets if self._number is None else [self._number.number]
        self._here = [word for number in numbers for word in reversed(number.words)]
        if self._walk.ranks:
            self._here.append(self._text.variable("rank", remark="of the turn, of images that are alike"))
        self._best = [f"best+{place}" for place in range(len(self._here))]
        self._text.variable("best", len(self._here), "what the least image so far is compared by")

    def answer(self, found: str) -> None:
        """Find the least image, turn on to it, find the move, and turn on until the board is home."""
        text, steps = self._text, self._walk.steps
        if steps == 1:
            self._inner.answer(found)
            return
        turns, best = text.variable("turns"), text.variable("best_turn")
        find, other, go, on = (text.fresh(stem) for stem in ("image", "other", "turn_on", "on"))
        self._begin()
        text.label(find)
        text.routine("turn", self._write_turn)
        self._unless_less(other)
        text.ops(f"load {turns}", f"store {best}", f"{other}:", f"count {turns}", f"ifnonzero {find}")
        text.number(-steps)
        text.ops(f"store {turns}", f"{go}:")
        self._turn_move()
        text.routine("turn", self._write_turn)
        text.ops(f"load {turns}", f"subtract {best}", f"ifnonzero {on}")
        there = text.fresh("on_least")
        self._inner.answer(there)
        text.label(there)
        self._mark()
        text.ops(f"{on}:", f"count {turns}", f"ifnonzero {go}")
        self._find_mark()
        text.op("jump", found)

    # -- the steps ----------------------------------------------------------------------------

    @property
    def _marks_moves(self) -> bool:
        """Whether a move is found again by a mark in its cell, since moves are cells; else it is turned by a table."""
        return self._cells.theirs is not None and self._walk.moves == self._walk.words

    def _begin(self) -> None:
        text, walk = self._text, self._walk
        text.needs(-max(walk.steps, walk.exchanges), walk.steps, "the count of a board's images")
        text.number(-1)
        text.op("store", self._best[0])  # nothing comes behind it
        if len(walk.words) > 1:
            text.number(-walk.exchanges * 2)
            text.op(
                "store", text.variable("exchange", remark="the next two words that are exchanged, of all")
            )
        if not self._marks_moves:
            text.number(0)
            text.op("store", text.variable("turn_of", remark="where the table of the next turn begins"))
            text.number(-1)
            text.op("store", "move", "some move, which is turned until one is found")
        text.number(-walk.steps)
        text.op("store", "turns")

    def _write_turn(self) -> None:
        """Turn the board by the next step."""
        text, walk, label = self._text, self._walk, self._cells.label
        total = walk.exchanges * len(walk.words)
        pairs = [pair for step in walk.words for pair in exchanged(step, walk.exchanges)]
        one = text.table("these", [pair[0] for pair in pairs], "words that are exchanged, step by step")
        two = text.table("those", [pair[1] for pair in pairs], "and those that they are exchanged with")
        first, second, held = text.variable("this"), text.variable("that"), text.variable("held")
        at = text.variable("exchange")
        again, stays = text.fresh("exchange_"), text.fresh("stays")
        if len(walk.words) == 1:
            text.number(-total)
            text.op("store", at)
        else:
            to_go = text.variable("to_exchange")
            text.number(-walk.exchanges)
            text.op("store", to_go)
        text.ops(f"{again}:", f"load {at}", f"look {one}+{total}", f"store {first}")
        text.ops(f"load {at}", f"look {two}+{total}", f"store {second}", f"look {label}", f"store {held}")
        text.ops(f"load {first}", f"look {label}", f"by {second}", f"store {label}")
        text.ops(f"load {held}", f"by {first}", f"store {label}", f"count {at}")
        if len(walk.words) == 1:
            text.ops(f"ifnonzero {again}", "back")
            return
        text.ops(f"count {to_go}", f"ifnonzero {again}", f"load {at}", f"ifnonzero {stays}")
        text.number(-total)
        text.ops(f"store {at}", f"{stays}:", "back")

    def _turn_move(self) -> None:
        """Turn the move by the next step."""
        if self._marks_moves:
            return
        text, walk, count = self._text, self._walk, self._setting.moves
        text.needs(-len(walk.moves) * count, len(walk.moves) * count, "a place among turned moves")
        targets = [target - count for step in walk.moves for target in step]
        table = text.table("turned", targets, "the moves after each step")
        if len(walk.moves) == 1:
            text.ops("by move", f"load {table}+{count}", "store move")
            return
        text.ops("by turn_of", "by move", f"load {table}+{count}", "store move")
        text.number(count)
        text.ops("subtract turn_of", "store turn_of")

    # -- the least image ----------------------------------------------------------------------

    def _unless_less(self, label: str) -> None:
        """Go on at a label unless the image comes before the best so far; if it does, it is the best from now on.

        What counts first in a code is who holds which cells, the second player before the first; where words are
        digits, it is the number that they make.
        """
        text, less = self._text, self._text.fresh("less")
        if self._number is None:
            self._write_sets()
        else:
            self._number.write()
        if self._walk.ranks:
            ranks = text.table("ranks", self._walk.ranks, "of turns that lead to images that are alike")
            text.ops("load turns", f"look {ranks}+{self._walk.steps}", "store rank")
        for word, best in zip(self._here[:-1], self._best, strict=False):
            equal = text.fresh("as_good")
            text.ops(f"load {word}", f"subtract {best}", f"ifzero {equal}", "carry")
            text.ops(f"ifnonzero {label}", f"jump {less}", f"{equal}:")
        word, best = self._here[-1], self._best[-1]
        if self._walk.last_wins:
            text.ops(f"load {best}", f"subtract {word}", "carry", f"ifzero {label}")
        else:
            text.ops(f"load {word}", f"subtract {best}", "carry", f"ifnonzero {label}")
        text.label(less)
        for word, best in zip(self._here, self._best, strict=True):
            text.ops(f"load {word}", f"store {best}")

    def _write_sets(self) -> None:
        """The cells of either side as numbers, cell 0 the lowest bit."""
        text, count, cells = self._text, self._cells.total, self._cells
        assert cells.theirs is not None, "what is no number is made of marks"
        own, theirs = self._sets if self._setting.seat == SECOND else self._sets[::-1]
        text.needs(-count, count, "the count of the cells")
        at, again, sign = text.variable("digit"), text.fresh("cell_"), text.variable("sign")
        own.clear()
        theirs.clear()
        text.number(-count)
        text.ops(f"store {at}", f"{again}:", f"load {at}", "negate", f"look {cells.label}-1")
        text.ops(f"store {sign}", f"right {cells.theirs.bit_length() - 1}")
        self._double(theirs)
        text.ops(f"load {sign}", "and =1")
        self._double(own)
        text.ops(f"count {at}", f"ifnonzero {again}")

    def _double(self, cells: Wide) -> None:
        """A set of cells moves up by one, and the lowest is what A says."""
        text, low = self._text, cells.words[0]
        if cells.count == 1:
            text.ops(f"add {low}", f"add {low}", f"store {low}")
            return
        bit = text.variable("bit")
        text.op("store", bit)
        cells.add(cells)
        text.ops(f"load {low}", f"add {bit}", f"store {low}")

    # -- the way back of a move that is marked ------------------------------------------------

    def _mark(self) -> None:
        if self._marks_moves:
            self._text.number(self._marker)
            self._text.ops("by move", f"store {self._cells.label}+{self._cells.total}")

    def _find_mark(self) -> None:
        if not self._marks_moves:
            return
        text, word = self._text, f"{self._cells.label}+{self._cells.total}"
        again, here = text.fresh("seek"), text.fresh("marked")
        text.number(-self._cells.total)
        text.ops("store move", f"{again}:", "by move", f"load {word}")
        text.plus(-self._marker)
        text.ops(f"ifzero {here}", "count move", f"jump {again}", f"{here}:", "by move", f"store {word}")


class TurningFollowing(Turning):
    """The same for a way that follows the game, whichever way the board lies."""

    def __init__(self, setting: Setting, ground: Ground, inner: Following) -> None:
        super().__init__(setting, ground, cast(Answering, inner), digits_only=True)
        self.set_up, self.visitor_moves, self.turn_lost = inner.set_up, inner.visitor_moves, inner.turn_lost


def turning(setting: Setting, ground: Ground, inner: Answering) -> Turning:
    """A way that looks at nothing but the digits of the board, on its least image."""
    if isinstance(inner, Following):
        return TurningFollowing(setting, ground, inner)
    return Turning(setting, ground, inner, digits_only=True)


class OnImages:
    """A board of which only the digits are turned: what its other words tell is not asked of an image."""

    def __init__(self, ground: Ground) -> None:
        self._ground = ground

    def digits(self) -> tuple[Digit, ...]:
        """Those of the board."""
        return self._ground.digits()

    def unless_can(self, label: str) -> None:
        """Raises WrongWay."""
        raise WrongWay(
            "whether a move can be made is not asked of a board of which only the digits are turned"
        )


def seen_turned(setting: Setting, ground: Ground) -> Ground:
    """What a table may ask of a board that is turned: all of it where marks are, else its digits only."""
    if type(setting.game) is Marks or setting.game.symmetries == 1:
        return ground
    return cast(Ground, OnImages(ground))


def _cells_of(setting: Setting, ground: Ground) -> Cells:
    """The words of a board that turn.  Raises NotLowered where they cannot be exchanged."""
    if isinstance(ground, BitsGround):
        raise WrongWay("sets of cells are not turned word by word")
    if isinstance(ground, MarksGround) and type(setting.game) is Marks:
        own, theirs = ground.marks[MACHINE], ground.marks[VISITOR]
        if own != OWN or theirs % 2:
            raise WrongWay("the marks in its cells do not differ in their lowest bit")
        return Cells("board", (3,) * ground.cells, theirs)
    digits = ground.digits()
    row = row_of(digits)
    if row is None:
        raise NotLowered("the words of its board do not lie one after the other")
    by_cells = numberings(setting.play.game)[0].by_cells
    return Cells(row, tuple(digit.base for digit in digits), THEIRS if by_cells else None)
