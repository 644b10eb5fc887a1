"""An image, and what a file that holds one says, row by row, before anybody asks whether it is right.

Reading has two steps.  A format gives a `Reading`: the rows that stand in the file, slips and all, for the proofreader.
`image_in` then makes an image of it, and takes no slip.
"""

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from budget.card import CostCard
from budget.machine.listing import in_base, rows_of
from budget.machine.program import Program
from games.problems import BadInput, Problem


class Image(NamedTuple):
    """The words that are loaded.

    words: the word of each address, from 0 to 2^w - 1; start: the place at which the program begins, None where
    nobody says; rows: the addresses of each row in which people see the words, all of them once; name: what the program
    is called, for headings.
    """

    words: dict[int, int]
    start: int | None
    rows: tuple[range, ...]
    name: str = ""


class Notation(NamedTuple):
    """How a file writes words, and a listing addresses: the base of each, and how many digits.

    scale: how many of the file's own addresses a word takes, if they are those of bytes, which are written in base 16;
    0 where they are those of words.
    """

    base: int
    digits: int
    address_base: int
    address_digits: int
    scale: int = 0

    def word(self, word: int) -> str:
        """A word as the file has it."""
        return in_base(word, self.base, self.digits)

    def address(self, address: int) -> str:
        """An address as the machine's listing has it."""
        return in_base(address, self.address_base, self.address_digits)

    @property
    def typed_base(self) -> int:
        """The base of the file's own addresses."""
        return 16 if self.scale else self.address_base

    def typed(self, address: int) -> str:
        """An address as the file itself has it."""
        return f"{address * self.scale:04X}" if self.scale else self.address(address)


class Cell(NamedTuple):
    """What stands where a word should: its text, the word that it is (None if it is none), and its place."""

    text: str
    word: int | None
    line: int
    column: int


class Check(NamedTuple):
    """What a row says to guard itself: the number given, the number that is right for what stands there.

    name: "sum" or "check byte"; spec: how Python formats such a number.
    """

    given: int
    right: int
    line: int
    column: int
    name: str
    spec: str

    @property
    def is_wrong(self) -> bool:
        """Whether the row and what guards it do not fit together."""
        return self.given != self.right


class Row(NamedTuple):
    """One row or record of a file: where it stands, the address of its first word, and its words."""

    line: int
    address: int
    cells: tuple[Cell, ...]
    check: Check | None

    @property
    def words(self) -> tuple[int | None, ...]:
        """The words, None for each that is none."""
        return tuple(cell.word for cell in self.cells)


class Text(NamedTuple):
    """The lines of a file, for messages: what they call it, and each line as it stands there."""

    file: str
    lines: tuple[str, ...]

    def problem(self, line: int, column: int, message: str) -> Problem:
        """A mistake at a place of this file."""
        shown = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        return Problem(self.file, line, column, message, shown)


def plain_lines(raw: bytes, file: str) -> Text:
    """The lines of a plain text, line ends made alike; a byte that is no text stands as a sign that nothing takes."""
    text = raw.decode("utf-8-sig", errors="replace").replace("\r\n", "\n").replace("\r", "\n")
    return Text(file, tuple(text.split("\n")))


class Reading(NamedTuple):
    """What a file says, in its own order.  faults: what is wrong with it and yet does not hinder the reading."""

    text: Text
    notation: Notation
    rows: tuple[Row, ...]
    start: int | None
    faults: tuple[Problem, ...]


def image_of(program: Program, name: str = "") -> Image:
    """The image of a program, in the rows of its listing."""
    rows = (range(row.address, row.address + len(row.words)) for row in rows_of(program) if row.words)
    return Image(dict(sorted(program.image.items())), program.start, tuple(rows), name)


def cut(words: Iterable[int], most: int) -> Iterator[range]:
    """Addresses in rows of so many at most; a row has no gaps.

    >>> list(cut([1, 2, 3, 4, 7], 3))
    [range(1, 4), range(4, 5), range(7, 8)]
    """
    begin = end = None
    for address in sorted(words):
        if begin is None or end is None or address != end or address - begin == most:
            if begin is not None and end is not None:
                yield range(begin, end)
            begin = address
        end = address + 1
    if begin is not None and end is not None:
        yield range(begin, end)


def image_in(reading: Reading, card: CostCard) -> Image:
    """The image that a file holds.  Raises BadInput with every slip in it: nothing is guessed."""
    problems = [*reading.faults, *_slips(reading, card)]
    if problems:
        raise BadInput(sorted(problems, key=lambda problem: (problem.line, problem.column)))
    rows = tuple(range(row.address, row.address + len(row.cells)) for row in reading.rows)
    return Image(dict(sorted(words_in(reading).items())), reading.start, rows)


def words_in(reading: Reading) -> Mapping[int, int]:
    """What a machine would hold that loads the rows in turn; a word that is none leaves what was there."""
    return {
        row.address + number: cell.word
        for row in reading.rows
        for number, cell in enumerate(row.cells)
        if cell.word is not None
    }


def _slips(reading: Reading, card: CostCard) -> Iterator[Problem]:
    """What an image must not have: words that are none, words given twice, rows that do not fit their checks."""
    text, notation = reading.text, reading.notation
    given: dict[int, int] = {}
    for row in reading.rows:
        for address, cell in enumerate(row.cells, row.address):
            if cell.word is None:
                most = notation.word((1 << card.word_bits) - 1)
                message = f"'{cell.text}' is no word of '{card.name}'; expected one up to {most}"
                yield text.problem(cell.line, cell.column, message)
            if address in given:
                message = f"the word {notation.address(address)} is given already, on line {given[address]}"
                yield text.problem(cell.line, cell.column, f"{message}; expected it once")
            given.setdefault(address, cell.line)
        check = row.check
        if check is not None and check.is_wrong and None not in row.words:
            yield text.problem(check.line, check.column, wrong_check(check))


def wrong_check(check: Check) -> str:
    """That a row does not fit what guards it."""
    given, right = format(check.given, check.spec), format(check.right, check.spec)
    return f"the {check.name} is {given}, and what stands before it needs {right}"
