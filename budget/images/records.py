"""What record formats share: a line is a mark and pairs of hexadecimal digits, one of them a check byte."""

import re
import string
from collections.abc import Iterator
from typing import NamedTuple

from budget.card import CostCard
from budget.images.image import Check, Reading, plain_lines
from budget.images.octets import Joiner, Piece, notation_of, start_place
from games.problems import BadInput, Problem

DIGITS = frozenset(string.hexdigits)


class Frame(NamedTuple):
    """How records are framed.

    mark: how they begin; example: such a beginning; uncounted: how many bytes the first, which counts them, does not
    count; least: bytes of the shortest record.
    """

    mark: str
    example: str
    uncounted: int
    least: int


class Record(NamedTuple):
    """The mark of a record, its bytes, and the column of the first digit of each."""

    line: int
    mark: str
    values: bytes
    columns: tuple[int, ...]

    def number(self, begin: int, end: int) -> int:
        """The number that some of its bytes are, the high byte first."""
        return int.from_bytes(self.values[begin:end], "big")

    def check(self, right: int) -> Check:
        """Its last byte as a check byte."""
        return Check(self.values[-1], right, self.line, self.columns[-1], "check byte", "02X")


class Gathered:
    """What the records of a file have said so far: bytes, the start, and whatever is wrong."""

    def __init__(self, raw: bytes, file: str, card: CostCard, frame: Frame) -> None:
        self.text = plain_lines(raw, file)
        self.card = card
        self.pieces: list[Piece] = []
        self.start: int | None = None
        self.ended = 0
        self._frame = frame
        self._problems: list[Problem] = []
        self._faults: list[Problem] = []

    def records(self) -> Iterator[Record]:
        """The records one by one; a line that is none is noted."""
        for number, line in enumerate(self.text.lines, 1):
            signs = [(sign, column) for column, sign in enumerate(line, 1) if not sign.isspace()]
            if signs and self.ended:
                self._problems.append(
                    self.text.problem(number, 1, f"stands after the end record on line {self.ended}")
                )
            elif signs:
                record = self._record(number, signs)
                if record is not None:
                    yield record

    def _record(self, line: int, signs: list[tuple[str, int]]) -> Record | None:
        """The record of a line, spaces left aside; None if it is none, which has been noted."""
        mark = re.match(self._frame.mark, "".join(sign for sign, _ in signs), re.IGNORECASE)
        digits = signs[mark.end() :] if mark else signs
        message, column = "", signs[0][1]
        strange = next((each for each in digits if each[0] not in DIGITS), None)
        if mark is None:
            message = f"expected a record, such as {self._frame.example}..."
        elif strange is not None:
            message, column = f"expected a hexadecimal digit, not '{strange[0]}'", strange[1]
        elif len(digits) % 2:
            message, column = f"expected pairs of digits, not {len(digits)} digits", digits[-1][1]
        elif len(digits) < 2 * self._frame.least:
            message = f"has {len(digits) // 2} bytes; expected {self._frame.least} at least"
        if message:
            self._problems.append(self.text.problem(line, column, message))
            return None
        assert mark is not None
        values = bytes.fromhex("".join(sign for sign, _ in digits))
        record = Record(line, mark[0].upper(), values, tuple(column for _, column in digits[::2]))
        counted, length = values[0] + self._frame.uncounted, len(values)
        if counted != length:
            self.note(
                record, 0, f"the first byte says that there are {counted} bytes, and there are {length}"
            )
            return None
        return record

    def note(self, record: Record, byte: int, message: str) -> None:
        """Note that a record is none, because of one of its bytes."""
        self._problems.append(self.text.problem(record.line, record.columns[byte], message))

    def fault(self, record: Record | None, byte: int, message: str) -> None:
        """Note what is wrong, in a record or in the whole file, and does not hinder the reading."""
        place = (record.line, record.columns[byte]) if record is not None else (0, 0)
        self._faults.append(self.text.problem(*place, message))

    def begin_at(self, record: Record, byte: int, address: int) -> None:
        """Take the byte address at which the program begins, which stands at a byte of a record."""
        self.start = start_place(address, self.card)
        if self.start is None:
            self.note(record, byte, f"byte {address:X} is no place of '{self.card.name}' to begin at")

    def reading(self) -> Reading:
        """All that the file says.  Raises BadInput with every record that is none."""
        joiner = Joiner(self.card, self.text)
        rows = joiner.rows(self.pieces)
        problems = [*self._problems, *joiner.problems]
        if problems:
            raise BadInput(sorted(problems, key=lambda each: (each.line, each.column)))
        faults = (*self._faults, *joiner.faults)
        return Reading(self.text, notation_of(self.card), rows, self.start, faults)
