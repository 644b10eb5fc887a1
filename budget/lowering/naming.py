"""How a program finds the move that a visitor has named, and how it prints the name of its own."""

from collections.abc import Sequence
from typing import Protocol

from budget.lowering.cell_names import GridNames, Line, cell_names
from budget.lowering.choices import Choices
from budget.lowering.ground import Setting
from budget.lowering.keyboard import Keyboard
from budget.lowering.name_list import NameList
from budget.lowering.pair_names import PairNames, cells_named, spelling_of
from budget.lowering.saying import Saying
from budget.lowering.text import Astray, NotLowered, Text
from budget.lowering.units import codes_of

TWO_SIGNS, ONE_CARRY, UNCHECKED = "two signs", "one carry", "not at all"
"""How it is told whether a number is that of a move: below 0, and not below the first; or at once; or not here, where
the words to which all other numbers lead refuse them as a taken cell does."""


class Naming(Protocol):
    """How moves are read and printed."""

    @property
    def marks_end(self) -> bool:
        """Whether a word is wanted behind the longest line, in which its end is marked."""
        ...

    def find_sign(self, unknown: str, refusing: str = "") -> None:
        """Find the move that the one character in A names; falls through with it, or goes on at a label.

        refusing: a table with a word for each move that is 0 only where the move can be made, if all other characters
        may as well be refused by it; A then has no more than the bits of a character.
        """
        ...

    def find_line(self, unknown: str, longest: int) -> None:
        """The same for the line that was typed: `line`, and `length` less the longest there can be."""
        ...

    def print_move(self) -> None:
        """Print the name of the move that was made."""
        ...


def naming_for(setting: Setting, keyboard: Keyboard, saying: Saying) -> Naming:
    """How the moves of a game are named: by cells from which and to which men go, or by numbers."""
    names = setting.game.move_names
    spelling = spelling_of(names, cells_named(setting.game))
    if spelling is not None and spelling.pairs:
        return PairNaming(keyboard, PairNames(setting.text, saying, spelling, names))
    return NumberNaming(setting.text, keyboard, saying, names, setting.choices)


class PairNaming:
    """Moves in the words `source` and `goal`; they are always typed as lines."""

    marks_end = True

    def __init__(self, keyboard: Keyboard, names: PairNames) -> None:
        self._keyboard = keyboard
        self._names = names

    def find_sign(self, unknown: str, refusing: str = "") -> None:
        """None has a name of one character."""
        raise NotLowered(f"no move has a name of one character, so all inputs go to {unknown}")

    def find_line(self, unknown: str, longest: int) -> None:
        """As in `PairNames.find`."""
        self._names.find(Line(self._names.text, self._keyboard, longest), unknown)

    def print_move(self) -> None:
        """As in `PairNames.print_move`."""
        self._names.print_move()


class NumberNaming:
    """Writes both ways between names and the number of a move (less the count of moves) in the word `move`."""

    def __init__(
        self, text: Text, keyboard: Keyboard, saying: Saying, names: Sequence[str], choices: Choices
    ) -> None:
        self._text = text
        self._keyboard = keyboard
        self._choices = choices
        self.names = tuple(name.lower() for name in names)
        self.count = len(self.names)
        text.needs(-self.count, self.count, f"the number of one of {self.count} moves")
        self._code = text.card.characters.code
        self._units = [codes_of(self._code, name.upper()) for name in names]
        self.of_one_sign = all(len(name) == 1 for name in names)
        self._list = NameList(text, keyboard, saying, self.names, choices)
        self.move = text.variable("move", remark=f"its number, less {self.count}")

    @property
    def marks_end(self) -> bool:
        """Only where names are taken apart."""
        return self._is_grid()

    # -- reading ------------------------------------------------------------------------------

    def find_sign(self, unknown: str, refusing: str = "") -> None:
        """Find the move that the one character in A names; falls through with `move`, or goes on at a label."""
        first = self._run_of_values()
        text = self._text
        if first is not None:
            text.plus(-first - self.count)
            text.op("store", self.move)
            ways = (TWO_SIGNS, ONE_CARRY, UNCHECKED) if refusing else (TWO_SIGNS, ONE_CARRY)
            way = self._choices.pick("range", ways)
            if way == UNCHECKED:
                text.astray = Astray(refusing, first, self.count, 1 << text.card.characters.bits)
                return
            if way == ONE_CARRY:
                text.plus(self.count)  # comes out at the top for the moves, which are below 0, only
                text.ops("carry", f"ifzero {unknown}")
                return
            bad = text.fresh("sign")
            text.op("ifminus", bad)
            text.op("jump", unknown)
            text.label(bad)
            text.plus(self.count)
            text.op("ifminus", unknown)
            return
        values = [self._keyboard.values(name) for name in self.names]
        table = text.table("signs", [each[0] for each in values], "the characters that name moves")
        again, found, key = text.fresh("seek"), text.fresh("found"), text.variable("key")
        text.op("store", key)
        text.number(-self.count)
        text.ops(f"store {self.move}", f"{again}:", f"by {self.move}", f"load {table}+{self.count}")
        text.ops(f"subtract {key}", f"ifzero {found}", f"count {self.move}", f"ifnonzero {again}")
        text.ops(f"jump {unknown}", f"{found}:")

    def _run_of_values(self) -> int | None:
        """The character of the first move, if those of the others follow one another."""
        values = [self._keyboard.values(name) for name in self.names]
        first = values[0][0] if values[0] else 0
        return first if values == [(first + place,) for place in range(self.count)] else None

    def find_line(self, unknown: str, longest: int) -> None:
        """The same for the line that was typed: `line`, and `length` less the longest there can be."""
        text = self._text
        if self.of_one_sign:
            text.op("load", "length")
            text.plus(longest - 1)
            text.ops(f"ifnonzero {unknown}", "load line")
            self.find_sign(unknown)
        elif self._is_grid():
            self._find_cell(unknown, longest)
        else:
            self._list.find(unknown, longest)

    def _is_grid(self) -> bool:
        """Whether names are a letter and a digit of a grid, and are taken apart."""
        self._grid = cell_names(self._code, self.names)
        if not isinstance(self._grid, GridNames):
            return False
        return self._choices.pick("names", ("parts", "list")) == "parts"

    def _find_cell(self, unknown: str, longest: int) -> None:
        """Read the letter and the digit."""
        assert isinstance(self._grid, GridNames)
        line, grid = Line(self._text, self._keyboard, longest), self._grid
        line.begin(unknown)
        self._text.routine("read_cell", lambda: grid.read(line))
        self._text.ops(f"ifzero {unknown}", f"store {self.move}")
        line.expect_end(unknown)

    # -- printing -----------------------------------------------------------------------------

    def print_move(self) -> None:
        """Print the name of the move in `move`."""
        text = self._text
        if self.of_one_sign:
            self._print_sign()
            return
        if self._is_grid() and isinstance(self._grid, GridNames):
            text.op("load", self.move)
            self._grid.print_cell(text)
            return
        self._list.print_move()

    def _print_sign(self) -> None:
        text = self._text
        before = {unit[:-1] for unit in self._units}
        last = [unit[-1] for unit in self._units]
        if len(before) != 1:
            raise NotLowered("the names of moves are in several cases, and that is not written yet")
        for code in before.pop():
            text.number(code)
            text.op("output")
        if last == list(range(last[0], last[0] + self.count)):
            text.op("load", self.move)
            text.plus(last[0] + self.count)
        else:
            table = text.table("spoken", last, "the character of each move")
            text.ops(f"by {self.move}", f"load {table}+{self.count}")
        text.op("output")
