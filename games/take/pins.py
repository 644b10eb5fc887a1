"""Rows of pins: each turn takes pins that stand side by side, which can leave two rows of one.

Kayles and its relatives are of this kind.
"""

from collections.abc import Sequence
from itertools import product
from typing import NamedTuple

import numpy as np

from games.codes import TURN_BIT, Codes, MoveIds
from games.interchange import MOST_SYMMETRIES, interchanges
from games.take.octal import ANYTHING, Octal
from games.take.taking import (
    GONE,
    LETTERS,
    MOST_DRAWN,
    NOT_THAT_MANY,
    WRONG_REST,
    Refused,
    Sizes,
    Taking,
    counted,
)

PIN_GONE = "pin-gone"
PIN = "|"
ROW_END = "/"
MOST_ROWS = 6
"""Each row of more than one pin doubles the number of symmetries, and these are limited."""


class Stretch(NamedTuple):
    """Pins side by side: their row, the place of the first in it (from 0), and how many."""

    row: int
    first: int
    number: int


class Pins(Taking):
    """Rows of pins in fixed places, called a, b, c, ... if there are several; pins are numbered along their row.

    A code holds a bit for each pin that stands, row by row.
    """

    def __init__(
        self,
        name: str,
        rows: Sequence[int],
        octal: Octal,
        *,
        title: str = "",
        origin: str = "",
        misere: bool = False,
    ) -> None:
        octal = octal.within(max(rows))
        self.rows = tuple(rows)
        self._row_begins = [sum(rows[:row]) for row in range(len(rows))]
        moves = self._stretches(octal.most)
        self.move_names = tuple(map(self._called, moves))
        self._before = np.array([self._bits(row, first - 1, 1) for row, first, _ in moves], dtype=np.uint64)
        self._behind = np.array([self._bits(row, first + n, 1) for row, first, n in moves], dtype=np.uint64)
        place = {move: at for at, move in enumerate(moves)}
        takes = [self._bits(*move) for move in moves]
        super().__init__(
            name,
            title,
            origin,
            size=f"{ROW_END.join(map(str, rows))} pins",
            turns=[
                (self._carried_bits(turn), [place[turn.of(move, rows)] for move in moves])
                for turn in _turns_of(rows)
            ],
            start=(1 << sum(rows)) - 1,
            octal=octal,
            misere=misere,
            takes=takes,
            numbers=[move.number for move in moves],
            refusals=_possible_refusals(octal),
        )

    def _stretches(self, longest: int) -> list[Stretch]:
        """All pins side by side, by the first pin and then by their number."""
        return [
            Stretch(row, first, number)
            for row, pins in enumerate(self.rows)
            for first in range(pins)
            for number in range(1, min(longest, pins - first) + 1)
        ]

    def _bits(self, row: int, first: int, number: int) -> int:
        """The bits of pins side by side; none for a pin beyond the ends of its row."""
        is_there = 0 <= first < self.rows[row]
        return ((1 << number) - 1) << self._row_begins[row] + first if is_there else 0

    def _called(self, move: Stretch) -> str:
        letter = LETTERS[move.row] if len(self.rows) > 1 else ""
        return f"{letter}{move.first + 1}" + (f"-{move.first + move.number}" if move.number > 1 else "")

    def _carried_bits(self, turn: "_Turn") -> list[int]:
        images = [turn.of(pin, self.rows) for pin in self._stretches(1)]
        return [self._row_begins[pin.row] + pin.first for pin in images]

    def _refused(self, codes: Codes, moves: MoveIds | int) -> Refused:
        pins, digit = self._takes[moves], self._digits[moves]
        rows_left = (codes & self._before[moves] != 0).astype(np.uint64)
        rows_left += codes & self._behind[moves] != 0
        yield WRONG_REST, digit >> rows_left & np.uint64(1) == 0
        yield PIN_GONE, codes & pins != pins
        yield NOT_THAT_MANY, (digit == 0) & np.ones(len(codes), dtype=bool)

    def parts(self, codes: Codes) -> Sizes:
        """The lengths of what stands side by side: (n, pins), each at the place of its last pin."""
        lengths = np.zeros((len(codes), self.bits), dtype=np.intp)
        for begin, pins in zip(self._row_begins, self.rows, strict=True):
            length = np.zeros(len(codes), dtype=np.intp)
            for pin in range(begin, begin + pins):
                stands = codes >> np.uint64(pin) & np.uint64(1) != 0
                if pin > begin:
                    lengths[stands, pin - 1] = 0
                length = np.where(stands, length + 1, 0)
                lengths[:, pin] = length
        return lengths

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        several = len(self.rows) > 1
        side_by_side = " that stand side by side" if self.octal.most > 1 else ""
        letter = "the letter of the row and " if several else ""
        last = ", or of the first and the last" if self.octal.most > 1 else ""
        return (
            "The two players take turns; the first player begins.",
            f"Whose turn it is knocks down {counted(self.octal.numbers, 'pin')}{side_by_side}.",
            *self.octal.conditions(("nothing of its row", "one row", "two rows")),
            self.end_in_words(),
            f"A move is {letter}the number of the pin{last}: {max(self.move_names, key=len)}.",
        )

    def _signs(self, code: int) -> list[str]:
        return [PIN if code >> pin & 1 else GONE for pin in range(self.bits)]

    def _by_row(self, signs: Sequence[str]) -> list[Sequence[str]]:
        return [signs[begin : begin + pins] for begin, pins in zip(self._row_begins, self.rows, strict=True)]

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The rows with a sign for each pin: ``|||.||``, whoever's seat."""
        return [ROW_END.join(map("".join, self._by_row(self._signs(code)))) for code in codes.tolist()]

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of rows as `texts` writes them.  Raises ValueError, with the reason, if the text is none."""
        rows = text.strip().split(ROW_END)
        if tuple(map(len, rows)) != self.rows or set("".join(rows)) - {PIN, GONE}:
            [start] = self.texts(np.array([self.start], dtype=np.uint64), seat)
            raise ValueError(
                f"expected pins such as {start}, with {GONE} for each that is gone, not '{text}'"
            )
        pins = sum(1 << pin for pin, sign in enumerate("".join(rows)) if sign == PIN)
        return pins | mover << TURN_BIT

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The pins row by row, those taken last in brackets; `named`: with the numbers of those that stand."""
        taken = 0 if last is None else int(self._takes[last])
        signs = [
            f"({sign})" if taken >> pin & 1 else f" {sign} " for pin, sign in enumerate(self._signs(code))
        ]
        lines = []
        for row, drawn in enumerate(self._by_row(signs)):
            letter = f"{LETTERS[row]} " if len(self.rows) > 1 else ""
            numbers = [f"{number:^3}" if PIN in sign else "   " for number, sign in enumerate(drawn, 1)]
            for at in range(0, len(drawn), MOST_DRAWN):
                lines.append(letter + "".join(drawn[at : at + MOST_DRAWN]))
                if named:
                    lines.append(" " * len(letter) + "".join(numbers[at : at + MOST_DRAWN]))
        return [line.rstrip() for line in lines]


class _Turn(NamedTuple):
    """A symmetry of rows: where each row goes, and whether it is mirrored."""

    goes: tuple[int, ...]
    mirrored: tuple[bool, ...]

    def of(self, pins: Stretch, rows: Sequence[int]) -> Stretch:
        """Where pins side by side go."""
        row, first, number = pins
        return Stretch(self.goes[row], rows[row] - first - number if self.mirrored[row] else first, number)


def _turns_of(rows: Sequence[int]) -> list[_Turn]:
    """Every way to put equal rows in each other's places and to mirror each of them, identity first."""
    mirrors = list(product(*((False, True) if pins > 1 else (False,) for pins in rows)))
    every = interchanges(rows, MOST_SYMMETRIES // len(mirrors))
    return [_Turn(goes, mirrored) for goes in every for mirrored in mirrors]


def _possible_refusals(octal: Octal) -> list[str]:
    """The reasons for which a named move can ever be refused, in the order in which they are tried."""
    possible = {
        NOT_THAT_MANY: 0 in octal.digits,
        PIN_GONE: True,
        WRONG_REST: any(digit not in (0, ANYTHING) for digit in octal.digits),
    }
    return [reason for reason, can_be in possible.items() if can_be]
