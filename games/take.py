"""The family **take**: counters are taken from heaps, or pins that stand side by side are knocked down.

Both players may do the same, and whoever has no move left has lost (or has won, where the game is *misere*).
What may be taken is an octal code (games/octal.py), so nim, subtraction games, Kayles and its relatives are
all data.  A code holds each heap's size, or a bit for each pin that stands; taking subtracts.

Northcott's strips are read here too; their rules are in games/northcott.py.
"""

from abc import ABC, abstractmethod
from collections.abc import Sequence
from itertools import product

import numpy as np
import numpy.typing as npt

from games.codes import TURN, TURN_BIT, UNFINISHED, Bytes, Codes, Flags, MoveIds, MoveList, turn_of, win_of
from games.interchange import MOST_SYMMETRIES, Shift, interchanges, shifted, shifts
from games.octal import Octal
from games.problems import listed

LETTERS = "abcdefghijklmnopqrstuvwxyz"
NOT_THAT_MANY, WRONG_REST = "not-that-many", "wrong-rest"
HEAP_GONE, TOO_MANY, PIN_GONE = "heap-gone", "too-many", "pin-gone"
PIN, GONE = "|", "."
MOST_DRAWN = 24
"""Counters of a heap, or pins side by side, that a picture can hold."""

Sizes = npt.NDArray[np.intp]
"""(n, p): the sizes of the heaps or rows that each position falls into, 0 where there is none."""


class Taking(ABC):
    """What heaps and rows of pins have in common: moves that take, and an end when nothing can be taken."""

    start: int
    other_start: int | None = None  # both players may do the same, so it does not matter who begins
    bits: int
    size: str
    can_repeat = False
    move_names: tuple[str, ...]
    refusals: tuple[str, ...]

    def __init__(self, name: str, octal: Octal, *, title: str = "", origin: str = "", misere: bool = False) -> None:
        self.name = name
        self.title = title or name
        self.origin = origin
        self.octal = octal
        self.misere = misere

    def _set_up(
        self, takes: Sequence[int], turns: Sequence[tuple[list[Shift], list[int]]], refusals: dict[str, bool]
    ) -> None:
        """What a kind of game finds out about its moves, symmetries and reasons to refuse.

        takes: what each move subtracts from a code; turns: for each symmetry how it carries bits, and moves;
        refusals: every reason in order, and whether it can ever be given in this game.
        """
        self._takes = np.array(takes, dtype=np.uint64)
        self._bit_shifts = [by for by, _ in turns]
        self._move_images = np.array([images for _, images in turns], dtype=np.uint16)
        self.symmetries = len(turns)
        self.refusals = tuple(reason for reason, can_be in refusals.items() if can_be)
        self._reasons = {reason: place for place, reason in enumerate(self.refusals, 1)}

    @abstractmethod
    def _refused(self, codes: Codes, moves: MoveIds | np.uint16) -> list[tuple[str, Flags]]:
        """Each reason to refuse and where it holds, the first that fits last; for pairs, or one move everywhere."""

    @abstractmethod
    def parts(self, codes: Codes) -> Sizes:
        """The heaps or rows into which positions fall, which are games of their own: (n, p) sizes."""

    @property
    @abstractmethod
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""

    def why_not(self, codes: Codes, moves: MoveIds) -> Bytes:
        """0 where a move is legal, else 1 + the place in `refusals`."""
        reason = np.zeros(len(codes), dtype=np.uint8)
        for name, where in self._refused(codes, moves):
            if name in self._reasons:
                reason[where] = self._reasons[name]
        return reason

    def _playable(self, codes: Codes, move: int) -> Flags:
        refused = np.zeros(len(codes), dtype=bool)
        for _, where in self._refused(codes, np.uint16(move)):
            refused |= where
        return ~refused

    def moves(self, codes: Codes) -> MoveList:
        """Whatever may be taken; only unfinished positions may be asked about."""
        parents = [np.flatnonzero(self._playable(codes, move)) for move in range(len(self.move_names))]
        parent = np.concatenate(parents)
        move = np.repeat(np.arange(len(parents), dtype=np.uint16), [len(part) for part in parents])
        return MoveList(parent, move, codes[parent] - self._takes[move] ^ TURN)

    def mover(self, codes: Codes) -> Bytes:
        """Whose turn it is, as the turn bit says."""
        return turn_of(codes)

    def ending(self, codes: Codes) -> Bytes:
        """Who has won once nothing can be taken, else UNFINISHED."""
        stuck = np.ones(len(codes), dtype=bool)
        for move in range(len(self.move_names)):
            stuck[stuck] = ~self._playable(codes[stuck], move)
        mover = turn_of(codes)
        winner = mover if self.misere else 1 - mover
        by_winner = np.array([win_of(0), win_of(1)], dtype=np.uint8)
        return np.where(stuck, by_winner[winner], np.uint8(UNFINISHED))

    def turned(self, symmetry: int, codes: Codes) -> Codes:
        """The same positions with equal heaps or rows in each other's places, and rows mirrored."""
        return shifted(codes, self._bit_shifts[symmetry])

    def turned_move(self, symmetry: int, moves: MoveIds) -> MoveIds:
        """The moves as they are called after `turned`."""
        image: MoveIds = self._move_images[symmetry][moves]
        return image

    def _end_in_words(self) -> str:
        return f"Whoever has no move left has {'won' if self.misere else 'lost'}."

    def _can_take(self, code: int) -> list[int]:
        """The moves of one position, none if it is over."""
        codes = np.array([code], dtype=np.uint64)
        return [move for move in range(len(self.move_names)) if self._playable(codes, move)[0]]


class Heaps(Taking):
    """Heaps of counters: each turn takes some from one heap."""

    def __init__(
        self, name: str, heaps: Sequence[int], octal: Octal, *, title: str = "", origin: str = "", misere: bool = False
    ) -> None:
        super().__init__(name, octal.within(max(heaps)), title=title, origin=origin, misere=misere)
        self.heaps = tuple(heaps)
        self.size = "-".join(map(str, heaps))
        widths = [heap.bit_length() for heap in heaps]
        self._low = [sum(widths[:heap]) for heap in range(len(heaps))]
        """The lowest bit of each heap's size in a code."""
        self._mask = [(1 << width) - 1 for width in widths]
        self.bits = sum(widths)
        self.start = self._code(heaps)
        takes = [(h, n) for h, heap in enumerate(heaps) for n in range(1, min(heap, self.octal.most) + 1)]
        self._heap_of = [heap for heap, _ in takes]
        self.move_names = tuple(f"{self._letter(heap)}{number}" for heap, number in takes)
        self._move_low = np.array([self._low[heap] for heap, _ in takes], dtype=np.uint64)
        self._move_mask = np.array([self._mask[heap] for heap, _ in takes], dtype=np.uint64)
        self._move_number = np.array([number for _, number in takes], dtype=np.uint64)
        self._move_digit = np.array([self.octal.digits[n - 1] for _, n in takes], dtype=np.uint64)
        place = {take: move for move, take in enumerate(takes)}
        turns = [
            (self._shifts(goes), [place[goes[heap], number] for heap, number in takes])
            for goes in interchanges(heaps)
        ]
        self._set_up([n << self._low[h] for h, n in takes], turns, self._reasons_that_can_be())

    def _letter(self, heap: int) -> str:
        return LETTERS[heap] if len(self.heaps) > 1 else ""

    def _shifts(self, goes: Sequence[int]) -> list[Shift]:
        """How the bits of each heap's size get into the place where the heap goes."""
        images = [0] * self.bits
        for heap, target in enumerate(goes):
            for bit in range(self._mask[heap].bit_length()):
                images[self._low[heap] + bit] = self._low[target] + bit
        return shifts(images)

    def _reasons_that_can_be(self) -> dict[str, bool]:
        digits = self.octal.digits
        return {
            NOT_THAT_MANY: 0 in digits,
            HEAP_GONE: True,
            TOO_MANY: len(digits) > 1,
            WRONG_REST: any(digit & 3 in (1, 2) for digit in digits),
        }

    def _refused(self, codes: Codes, moves: MoveIds | np.uint16) -> list[tuple[str, Flags]]:
        size = codes >> self._move_low[moves] & self._move_mask[moves]
        number, digit = self._move_number[moves], self._move_digit[moves]
        is_left = (size > number).astype(np.uint64)
        return [
            (WRONG_REST, digit >> is_left & np.uint64(1) == 0),
            (TOO_MANY, size < number),
            (HEAP_GONE, size == 0),
            (NOT_THAT_MANY, np.broadcast_to(digit == 0, size.shape)),
        ]

    def _code(self, sizes: Sequence[int]) -> int:
        return sum(size << low for size, low in zip(sizes, self._low, strict=True))

    def parts(self, codes: Codes) -> Sizes:
        """The sizes of the heaps: (n, heaps)."""
        each = [codes >> np.uint64(low) & np.uint64(mask) for low, mask in zip(self._low, self._mask, strict=True)]
        return np.stack(each, axis=1).astype(np.intp)

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        numbers = self.octal.numbers
        every = self.octal.most == len(numbers) == max(self.heaps) and not self.octal.conditions(("", ""))
        how_many = "as many counters as they like, at least one," if every else _counted(numbers, "counter")
        several = len(self.heaps) > 1
        return (
            "The two players take turns; the first player begins.",
            f"Whose turn it is takes {how_many} from {'one heap' if several else 'the heap'}.",
            *self.octal.conditions(("nothing of the heap", "something of the heap")),
            self._end_in_words(),
            f"A move is {'the letter of the heap and ' if several else ''}how many are taken: {self.move_names[-1]}.",
        )

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The sizes of the heaps: ``3-4-5``, whoever's seat."""
        return ["-".join(map(str, sizes)) for sizes in self.parts(codes).tolist()]

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of heaps as `texts` writes them.  Raises ValueError, with the reason, if it is none."""
        written = text.strip().split("-")
        if len(written) != len(self.heaps) or not all(each.isascii() and each.isdigit() for each in written):
            what = "the size of the heap" if len(self.heaps) == 1 else f"the sizes of {len(self.heaps)} heaps"
            raise ValueError(f"expected {what}, such as {self.size}, not '{text}'")
        sizes = [int(each[:6]) for each in written]
        for size, heap in zip(sizes, self.heaps, strict=True):
            if size > heap:
                raise ValueError(f"a heap that began with {heap} cannot have {size} in '{text}'; expected at most {heap}")
        return self._code(sizes) | mover << TURN_BIT

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """A line for each heap; the size of the one taken from last stands in brackets, dots for what it lost."""
        [sizes] = self.parts(np.array([code], dtype=np.uint64)).tolist()
        width = len(str(max(self.heaps)))
        lines = []
        for heap, size in enumerate(sizes):
            taken = int(self._move_number[last]) if last is not None and self._heap_of[last] == heap else 0
            count = f"({size})" if taken else f"{size} "
            drawn = "o" * size + GONE * taken if max(self.heaps) <= MOST_DRAWN else ""
            lines.append(f"{self._letter(heap)} {count:>{width + 2}} {drawn}".strip(" "))
        return self._with_moves(code, lines) if named else lines

    def _with_moves(self, code: int, lines: Sequence[str]) -> list[str]:
        """The lines, and behind each what may be taken from its heap."""
        names: list[list[str]] = [[] for _ in self.heaps]
        for move in self._can_take(code):
            names[self._heap_of[move]].append(self.move_names[move])
        wide = max(map(len, lines))
        return [f"{line:{wide}}  {_spanned(can)}".rstrip() for line, can in zip(lines, names, strict=True)]


class Pins(Taking):
    """Rows of pins: each turn knocks down pins that stand side by side, which can leave two rows."""

    def __init__(
        self, name: str, rows: Sequence[int], octal: Octal, *, title: str = "", origin: str = "", misere: bool = False
    ) -> None:
        super().__init__(name, octal.within(max(rows)), title=title, origin=origin, misere=misere)
        self.rows = tuple(rows)
        self.size = f"{'/'.join(map(str, rows))} pins"
        self.bits = sum(rows)
        self.start = (1 << self.bits) - 1
        self._first_pin = [sum(rows[:row]) for row in range(len(rows))]
        takes = [
            (row, pin, number)
            for row, pins in enumerate(rows)
            for pin in range(pins)
            for number in range(1, min(self.octal.most, pins - pin) + 1)
        ]
        self.move_names = tuple(self._move_name(*take) for take in takes)
        self._move_pins = np.array([self._pins(*take) for take in takes], dtype=np.uint64)
        self._move_before = np.array([self._pins(row, pin - 1, 1) if pin else 0 for row, pin, _ in takes], np.uint64)
        self._move_behind = np.array(
            [self._pins(row, pin + n, 1) if pin + n < rows[row] else 0 for row, pin, n in takes], np.uint64
        )
        self._move_digit = np.array([self.octal.digits[n - 1] for _, _, n in takes], dtype=np.uint64)
        place = {take: move for move, take in enumerate(takes)}
        turns = [
            (shifts(self._bit_images(goes, mirrored)), [place[self._image(goes, mirrored, take)] for take in takes])
            for goes, mirrored in _turns_of_rows(rows)
        ]
        self._set_up(self._move_pins.tolist(), turns, self._reasons_that_can_be())

    def _pins(self, row: int, pin: int, number: int) -> int:
        """The set of `number` pins of a row from `pin` on."""
        return ((1 << number) - 1) << self._first_pin[row] + pin

    def _move_name(self, row: int, pin: int, number: int) -> str:
        letter = LETTERS[row] if len(self.rows) > 1 else ""
        return f"{letter}{pin + 1}" + (f"-{pin + number}" if number > 1 else "")

    def _image(
        self, goes: Sequence[int], mirrored: Sequence[bool], take: tuple[int, int, int]
    ) -> tuple[int, int, int]:
        """Where pins side by side go with their row."""
        row, pin, number = take
        return goes[row], self.rows[row] - pin - number if mirrored[row] else pin, number

    def _bit_images(self, goes: Sequence[int], mirrored: Sequence[bool]) -> list[int]:
        places = [(row, pin, 1) for row, pins in enumerate(self.rows) for pin in range(pins)]
        images = [self._image(goes, mirrored, place) for place in places]
        return [self._first_pin[row] + pin for row, pin, _ in images]

    def _reasons_that_can_be(self) -> dict[str, bool]:
        digits = self.octal.digits
        return {NOT_THAT_MANY: 0 in digits, PIN_GONE: True, WRONG_REST: any(0 < digit < 7 for digit in digits)}

    def _refused(self, codes: Codes, moves: MoveIds | np.uint16) -> list[tuple[str, Flags]]:
        pins, digit = self._move_pins[moves], self._move_digit[moves]
        rows_left = (codes & self._move_before[moves] != 0).astype(np.uint64)
        rows_left += codes & self._move_behind[moves] != 0
        return [
            (WRONG_REST, digit >> rows_left & np.uint64(1) == 0),
            (PIN_GONE, codes & pins != pins),
            (NOT_THAT_MANY, np.broadcast_to(digit == 0, codes.shape)),
        ]

    def parts(self, codes: Codes) -> Sizes:
        """The lengths of what stands side by side: (n, pins), each at its last pin."""
        lengths = np.zeros((len(codes), self.bits), dtype=np.intp)
        for first, pins in zip(self._first_pin, self.rows, strict=True):
            running = np.zeros(len(codes), dtype=np.intp)
            for pin in range(first, first + pins):
                running = np.where(codes >> np.uint64(pin) & np.uint64(1), running + 1, 0)
                lengths[:, pin] = running
                if pin > first:
                    lengths[running > 0, pin - 1] = 0
        return lengths

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        several = len(self.rows) > 1
        numbers = self.octal.numbers
        side = " that stand side by side" if max(numbers) > 1 else ""
        name = self.move_names[-1]
        return (
            "The two players take turns; the first player begins.",
            f"Whose turn it is takes {_counted(numbers, 'pin')}{side}{', all of one row' if several else ''}.",
            *self.octal.conditions(("nothing of its row", "one row", "two rows")),
            self._end_in_words(),
            f"A move is {'the letter of the row and ' if several else ''}the number of the pin, "
            f"or of the first and the last: {name}.",
        )

    def _rows_of(self, signs: Sequence[str]) -> list[list[str]]:
        return [list(signs[first : first + pins]) for first, pins in zip(self._first_pin, self.rows, strict=True)]

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The rows, with a sign for each pin: ``|||.||``, whoever's seat."""
        return ["/".join(map("".join, self._rows_of(self._signs(code)))) for code in codes.tolist()]

    def _signs(self, code: int) -> list[str]:
        return [PIN if code >> pin & 1 else GONE for pin in range(self.bits)]

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of rows as `texts` writes them.  Raises ValueError, with the reason, if it is none."""
        rows = text.strip().split("/")
        if tuple(map(len, rows)) != self.rows or set(text.strip()) - {PIN, GONE, "/"}:
            start = self.texts(np.array([self.start], dtype=np.uint64), seat)[0]
            raise ValueError(f"expected {PIN} for each pin that stands and {GONE} for each that is gone, as in {start}, not '{text}'")
        pins = sum(1 << pin for pin, sign in enumerate("".join(rows)) if sign == PIN)
        return pins | mover << TURN_BIT

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """The pins row by row, those taken last in brackets; `named`: with the numbers of those that stand."""
        taken = 0 if last is None else int(self._move_pins[last])
        signs = [f"({sign})" if taken >> pin & 1 else f" {sign} " for pin, sign in enumerate(self._signs(code))]
        lines = []
        for row, drawn in enumerate(self._rows_of(signs)):
            letter = f"{LETTERS[row]} " if len(self.rows) > 1 else ""
            numbers = [f"{pin:^3}" if PIN in sign else "   " for pin, sign in enumerate(drawn, 1)]
            for at in range(0, len(drawn), MOST_DRAWN):
                lines.append((letter + "".join(drawn[at : at + MOST_DRAWN])).rstrip())
                if named:
                    lines.append((" " * len(letter) + "".join(numbers[at : at + MOST_DRAWN])).rstrip())
        return lines


def _turns_of_rows(rows: Sequence[int]) -> list[tuple[tuple[int, ...], tuple[bool, ...]]]:
    """Every way to put equal rows in each other's places and to mirror rows: where each goes, and which are mirrored."""
    mirrors = list(product(*((False, True) if pins > 1 else (False,) for pins in rows)))
    return [
        (goes, mirrored)
        for goes in interchanges(rows, MOST_SYMMETRIES // len(mirrors))
        for mirrored in mirrors
    ]


def _counted(numbers: Sequence[int], thing: str) -> str:
    """Numbers of things in words: ``1, 2 or 3 counters``."""
    run = len(numbers) > 4 and numbers == tuple(range(numbers[0], numbers[-1] + 1))
    words = f"{numbers[0]} to {numbers[-1]}" if run else listed([str(number) for number in numbers])
    return f"{words} {thing}{'' if numbers == (1,) else 's'}"


def _spanned(names: Sequence[str]) -> str:
    """Names of moves, shortened where they are many."""
    return " ".join(names) if len(names) <= 4 else f"{names[0]} {names[1]} ... {names[-1]}"
