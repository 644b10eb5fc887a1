"""How a program reads and prints the name of one cell, by the way in which the names are made.

A cell is its number less the count of cells.  What is read stands in the words of the line that was typed, behind
which stands what no name has (the Return key); `spot` is the place in it, less the longest that a line can be.
"""

from collections.abc import Sequence
from typing import Protocol

from budget.characters import CharacterCode
from budget.lowering.keyboard import Keyboard
from budget.lowering.text import NotLowered, Text
from budget.lowering.units import codes_of
from games.board import LETTERS

MOST_DIGIT_ROWS = 9


class Line:
    """The characters of the line that was typed, one after another."""

    def __init__(self, text: Text, keyboard: Keyboard, longest: int) -> None:
        self.text = text
        self.keyboard = keyboard
        self.longest = longest

    def begin(self, unknown: str) -> None:
        """Put the end behind what was typed and begin with the first character; go on at a label if it is too long."""
        text = self.text
        text.op("load", "length")
        text.jump_if(1, unknown)
        text.number(self.keyboard.return_key)
        text.ops("by length", f"store line+{self.longest}")
        self.rewind()

    def rewind(self) -> None:
        """Go back to the first character."""
        self.text.number(-self.longest)
        self.text.op("store", self.text.variable("spot", remark="a place in the line"))

    def next(self) -> None:
        """A and `key` become the next character."""
        text = self.text
        text.ops(
            "by spot", f"load line+{self.longest}", f"store {text.variable('key')}", "count spot", "load key"
        )

    def value(self, sign: str) -> int:
        """What A is for a character."""
        values = self.keyboard.values(sign)
        if len(values) != 1:
            raise NotLowered(f"'{sign}' can be typed in {len(values)} ways on this machine, not in one")
        return values[0]

    def expect(self, signs: str, other: str) -> None:
        """Pass over just these characters; go on at a label if others stand there."""
        for sign in signs:
            self.next()
            self.text.plus(-self.value(sign))
            self.text.op("ifnonzero", other)

    def expect_end(self, other: str) -> None:
        """Go on at a label unless the line ends here."""
        self.next()
        self.text.plus(-self.keyboard.return_key)
        self.text.op("ifnonzero", other)

    def place_of(self, signs: str, none: str, table: str) -> None:
        """A, a character, becomes its place among some, less their count; go on at a label if it is none of them."""
        text, count = self.text, len(signs)
        values = [self.value(sign) for sign in signs]
        found = text.fresh("sign_found")
        if values == list(range(values[0], values[0] + count)):
            text.plus(-values[0])
            text.op("ifminus", none)
            text.plus(-count)
            text.ops(f"ifminus {found}", f"jump {none}", f"{found}:")
            return
        text.table(table, values, "characters of names")
        again, place = text.fresh("sign"), text.variable("place")
        text.op("store", text.variable("key"))
        text.number(-count)
        text.ops(f"store {place}", f"{again}:", f"by {place}", f"load {table}+{count}", "subtract key")
        text.ops(f"ifzero {found}", f"count {place}", f"ifnonzero {again}", f"jump {none}", f"{found}:")
        text.op("load", place)


class CellNames(Protocol):
    """One way in which the names of all cells are made."""

    count: int

    def read(self, line: Line) -> None:
        """In a subroutine, with `back` behind: A becomes the cell whose name stands at `spot`, 0 if there is none."""
        ...

    def print_cell(self, text: Text) -> None:
        """Print the name of the cell in A."""
        ...

    def spoken(self, name: str) -> tuple[int, ...]:
        """The codes that are printed for a cell's name."""
        ...


class SignNames:
    """Names of one character each; the case of the printer is set before the first."""

    def __init__(self, code: CharacterCode, names: Sequence[str]) -> None:
        self.count = len(names)
        self.signs = "".join(names)
        units = [codes_of(code, name.upper()) for name in names]
        [self.before] = {unit[:-1] for unit in units}
        self.codes = [unit[-1] for unit in units]

    def read(self, line: Line) -> None:
        """A cell is the place of its character."""
        none = line.text.fresh("no_cell")
        line.next()
        line.place_of(self.signs, none, "cell_signs")
        line.text.ops("back", f"{none}:")
        line.text.number(0)
        line.text.op("back")

    def print_cell(self, text: Text) -> None:
        """One character."""
        print_sign(text, self.codes, self.count, "cells_spoken")

    def spoken(self, name: str) -> tuple[int, ...]:
        """One code."""
        return (self.codes[self.signs.index(name)],)


class GridNames:
    """A letter for the column and a digit for the row, in reading order."""

    def __init__(self, code: CharacterCode, columns: int, rows: int) -> None:
        self.count = columns * rows
        self._columns, self._rows = columns, rows
        self._parts = [
            SignNames(code, LETTERS[:columns]),
            SignNames(code, [str(row + 1) for row in range(rows)]),
        ]

    def read(self, line: Line) -> None:
        """The column, and as many columns as a row has for each row."""
        text, none, column = line.text, line.text.fresh("no_cell"), line.text.variable("column")
        letters, digits = self._parts
        line.next()
        line.place_of(letters.signs, none, "column_signs")
        text.op("store", column)
        line.next()
        line.place_of(digits.signs, none, "row_signs")
        times(text, self._columns)
        text.op("add", column)
        text.plus(self._columns)
        text.ops("back", f"{none}:")
        text.number(0)
        text.op("back")

    def print_cell(self, text: Text) -> None:
        """Both, each in its case."""
        row, again, found = text.variable("row"), text.fresh("row"), text.fresh("row_found")
        column = text.variable("column")
        text.op("store", column)
        text.number(-self._rows - 1)
        text.ops(f"store {row}", f"load {column}")
        text.plus(self.count)
        text.ops(f"{again}:", f"store {column}", f"count {row}", f"load {column}")
        text.plus(-self._columns)
        text.ops(f"ifminus {found}", f"jump {again}", f"{found}:", f"store {column}")
        for part, word, table in zip(
            self._parts, (column, row), ("columns_spoken", "rows_spoken"), strict=True
        ):
            say_codes(text, part.before)
            text.op("load", word)
            print_sign(text, part.codes, part.count, table)

    def spoken(self, name: str) -> tuple[int, ...]:
        """Both, each with what sets its case."""
        return tuple(
            code
            for part, sign in zip(self._parts, name, strict=True)
            for code in (*part.before, *part.spoken(sign))
        )


def cell_names(code: CharacterCode, names: Sequence[str]) -> CellNames | None:
    """The way in which names are made; None if it is none of these."""
    try:
        if all(len(name) == 1 for name in names):
            return SignNames(code, names)
        columns = len({name[0] for name in names})
        rows = len(names) // columns
        usual = [f"{letter}{row + 1}" for row in range(rows) for letter in LETTERS[:columns]]
        if list(names) == usual and rows <= MOST_DIGIT_ROWS:
            return GridNames(code, columns, rows)
    except ValueError:  # their characters are in several cases
        return None
    return None


def print_sign(text: Text, codes: Sequence[int], count: int, table: str) -> None:
    """Print the code at the place in A, less the count of codes."""
    if list(codes) == list(range(codes[0], codes[0] + count)):
        text.plus(codes[0] + count)
    else:
        text.table(table, codes, "characters of names, as they are printed")
        text.op("look", f"{table}+{count}")
    text.op("output")


def say_codes(text: Text, codes: Sequence[int]) -> None:
    """Print a few codes."""
    for code in codes:
        text.number(code)
        text.op("output")


def times(text: Text, factor: int) -> None:
    """A becomes so many times what it was."""
    if factor == 1:
        return
    once = text.variable("once")
    text.op("store", once)
    for bit in f"{factor:b}"[1:]:
        text.op("left", 1)
        if bit == "1":
            text.op("add", once)
