"""Heaps of counters: each turn takes some from one heap.  Nim and the subtraction games are of this kind."""

from collections.abc import Sequence

import numpy as np

from games.codes import TURN_BIT, Codes, MoveIds
from games.interchange import interchanges
from games.take.octal import NOTHING, ONE_ROW, UNSPLIT, Octal
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

HEAP_GONE, TOO_MANY = "heap-gone", "too-many"
MOST_NAMED = 4
"""Moves of a heap that a picture names one by one."""


class Heaps(Taking):
    """Heaps in fixed places, called a, b, c, ...; a move is a heap and a number, and heaps that began equal are alike.

    A code holds the size of each heap in as many bits as it needs, heap a lowest.
    """

    def __init__(
        self,
        name: str,
        heaps: Sequence[int],
        octal: Octal,
        *,
        title: str = "",
        origin: str = "",
        misere: bool = False,
    ) -> None:
        octal = octal.within(max(heaps))
        self.heaps = tuple(heaps)
        self._widths = [heap.bit_length() for heap in heaps]
        self._lows = [sum(self._widths[:heap]) for heap in range(len(heaps))]
        moves = [(h, n) for h, heap in enumerate(heaps) for n in range(1, min(heap, octal.most) + 1)]
        self._heap_of = [heap for heap, _ in moves]
        self._low_of = np.array([self._lows[heap] for heap, _ in moves], dtype=np.uint64)
        self._mask_of = np.array([(1 << self._widths[heap]) - 1 for heap, _ in moves], dtype=np.uint64)
        self.move_names = tuple(f"{self._letter(heap)}{number}" for heap, number in moves)
        place = {move: at for at, move in enumerate(moves)}
        super().__init__(
            name,
            title,
            origin,
            size="-".join(map(str, heaps)) if len(heaps) > 1 else f"{heaps[0]} counters",
            turns=[
                (self._carried_bits(goes), [place[goes[heap], number] for heap, number in moves])
                for goes in interchanges(heaps)
            ],
            start=self._code(heaps),
            octal=octal,
            misere=misere,
            takes=[number << self._lows[heap] for heap, number in moves],
            numbers=[number for _, number in moves],
            refusals=_possible_refusals(octal),
        )

    def _letter(self, heap: int) -> str:
        return LETTERS[heap] if len(self.heaps) > 1 else ""

    def _carried_bits(self, goes: Sequence[int]) -> list[int]:
        """Where the bits of each heap's size go when the heaps go there."""
        return [self._lows[goes[h]] + bit for h, width in enumerate(self._widths) for bit in range(width)]

    def _code(self, sizes: Sequence[int]) -> int:
        return sum(size << low for size, low in zip(sizes, self._lows, strict=True))

    def _refused(self, codes: Codes, moves: MoveIds | int) -> Refused:
        size = codes >> self._low_of[moves] & self._mask_of[moves]
        number, digit = self._numbers[moves], self._digits[moves]
        rows_left = (size > number).astype(np.uint64)
        yield WRONG_REST, digit >> rows_left & np.uint64(1) == 0
        yield TOO_MANY, size < number
        yield HEAP_GONE, size == 0
        yield NOT_THAT_MANY, (digit == 0) & np.ones(len(codes), dtype=bool)

    def parts(self, codes: Codes) -> Sizes:
        """The sizes of the heaps: (n, heaps)."""
        fields = zip(self._lows, self._widths, strict=True)
        each = [codes >> np.uint64(low) & np.uint64((1 << width) - 1) for low, width in fields]
        return np.stack(each, axis=1).astype(np.intp)

    @property
    def rules(self) -> tuple[str, ...]:
        """The rules in words, a sentence each."""
        several = len(self.heaps) > 1
        is_free = self.octal.digits == (UNSPLIT,) * max(self.heaps)
        how_many = "any number of counters" if is_free else counted(self.octal.numbers, "counter")
        letter = "the letter of the heap and " if several else ""
        return (
            "The two players take turns; the first player begins.",
            f"Whose turn it is takes {how_many} from {'one heap' if several else 'the heap'}.",
            *self.octal.conditions(("nothing of the heap", "something of the heap")),
            self.end_in_words(),
            f"A move is {letter}how many are taken: {self.move_names[-1]}.",
        )

    def texts(self, codes: Codes, seat: int) -> list[str]:
        """The sizes of the heaps: ``3-4-5``, whoever's seat."""
        return ["-".join(map(str, sizes)) for sizes in self.parts(codes).tolist()]

    def read(self, text: str, seat: int, mover: int) -> int:
        """The code of heaps as `texts` writes them.  Raises ValueError, with the reason, if the text is none."""
        written = text.strip().split("-")
        if len(written) != len(self.heaps) or not all(each.isascii() and each.isdigit() for each in written):
            what = "the size of the heap" if len(self.heaps) == 1 else f"the sizes of {len(self.heaps)} heaps"
            raise ValueError(f"expected {what}, such as {'-'.join(map(str, self.heaps))}, not '{text}'")
        sizes = []
        for digits, heap in zip(written, self.heaps, strict=True):
            size = int(digits.lstrip("0")[:9] or "0")
            if size > heap:
                raise ValueError(f"'{text}' has {digits} in a heap that began with {heap}; expected no more")
            sizes.append(size)
        return self._code(sizes) | mover << TURN_BIT

    def drawing(self, code: int, seat: int, last: int | None = None, *, named: bool = False) -> list[str]:
        """A line for each heap; the size of the heap taken from last stands in brackets, with dots for what it lost."""
        [sizes] = self.parts(np.array([code], dtype=np.uint64)).tolist()
        wide = len(str(max(self.heaps))) + 2
        lines = []
        for heap, size in enumerate(sizes):
            taken = int(self._numbers[last]) if last is not None and self._heap_of[last] == heap else 0
            shown = f"({size})" if taken else f"{size} "
            drawn = "o" * size + GONE * taken if max(self.heaps) <= MOST_DRAWN else ""
            letter = f"{self._letter(heap)} " if len(self.heaps) > 1 else ""
            lines.append(f"{letter}{shown:>{wide}} {drawn}".rstrip())
        return self._with_moves(code, lines) if named else lines

    def _with_moves(self, code: int, lines: Sequence[str]) -> list[str]:
        """The lines, and behind each the moves that take from its heap."""
        names: list[list[str]] = [[] for _ in self.heaps]
        for move in self.playable_in(code):
            names[self._heap_of[move]].append(self.move_names[move])
        wide = max(map(len, lines))
        return [f"{line:{wide}}   {_spanned(can)}".rstrip() for line, can in zip(lines, names, strict=True)]


def _possible_refusals(octal: Octal) -> list[str]:
    """The reasons for which a named move can ever be refused, in the order in which they are tried."""
    possible = {
        NOT_THAT_MANY: 0 in octal.digits,
        HEAP_GONE: True,
        TOO_MANY: octal.most > 1,
        WRONG_REST: any(digit & UNSPLIT in (NOTHING, ONE_ROW) for digit in octal.digits),
    }
    return [reason for reason, can_be in possible.items() if can_be]


def _spanned(names: Sequence[str]) -> str:
    """Names of moves, in short where they are many."""
    return " ".join(names) if len(names) <= MOST_NAMED else f"{names[0]} {names[1]} ... {names[-1]}"
