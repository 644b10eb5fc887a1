"""Words in bytes, for records that hold bytes: each word in as few whole bytes as hold it, the high byte first.

An address of a record is then that of a byte: the word's address times its bytes.  The place at which a program begins
is the first byte of its word, and one more where it is the second half of a word.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from budget.card import CostCard
from budget.images.image import Cell, Check, Image, Notation, Row, Text, cut, wrong_check
from budget.machine.listing import in_base
from budget.packing import ceil_divide
from games.problems import Problem

USUAL_RECORD = 16
"""Bytes of a record at most, as is common practice; of whole words."""


class Piece(NamedTuple):
    """The bytes of one record: the address of the first, the column of each, and the record's check byte."""

    line: int
    address: int
    values: bytes
    columns: tuple[int, ...]
    check: Check


def bytes_a_word(card: CostCard) -> int:
    """How many bytes hold a word."""
    return ceil_divide(card.word_bits, 8)


def words_a_record(card: CostCard) -> int:
    """How many words a record of ours holds at most."""
    return USUAL_RECORD // bytes_a_word(card)


def notation_of(card: CostCard) -> Notation:
    """How records write words: in base 16; addresses are told as the machine's listing has them."""
    address_base = card.program.base
    address_digits = len(in_base(card.store_words - 1, address_base))
    return Notation(16, 2 * bytes_a_word(card), address_base, address_digits, bytes_a_word(card))


def pieces_of(image: Image, card: CostCard) -> Iterator[tuple[int, bytes]]:
    """The bytes of an image, a record at a time, each with the address of its first byte."""
    size = bytes_a_word(card)
    for row in cut(image.words, words_a_record(card)):
        yield row.start * size, b"".join(image.words[address].to_bytes(size, "big") for address in row)


def start_byte(place: int, card: CostCard) -> int:
    """The byte address that stands for a place."""
    address, half = divmod(place, card.program.layout.places_a_word)
    return address * bytes_a_word(card) + half


def start_place(byte: int, card: CostCard) -> int | None:
    """The place that a byte address stands for; None if it stands for none."""
    address, half = divmod(byte, bytes_a_word(card))
    per_word = card.program.layout.places_a_word
    return address * per_word + half if half < per_word and address < card.store_words else None


class _Byte(NamedTuple):
    value: int
    line: int
    column: int


class Joiner:
    """Joins the bytes of records to rows of words.

    A record of another program's may begin or end within a word; the word then belongs to the row in which it begins,
    if the next record goes on with the next byte.  What cannot be joined is told in `problems`, and a check byte that
    is wrong in such a record in `faults`; where records hold whole words, their rows keep their check bytes.
    """

    def __init__(self, card: CostCard, text: Text) -> None:
        self.problems: list[Problem] = []
        self.faults: list[Problem] = []
        self._card = card
        self._size = bytes_a_word(card)
        self._text = text
        self._rows: list[tuple[Row, list[Cell]]] = []
        self._begun: list[_Byte] = []  # of a word that is not finished
        self._cells: list[Cell] = []  # of the row to which that word belongs
        self._next = 0  # the byte address that goes on with it

    def rows(self, pieces: Iterable[Piece]) -> tuple[Row, ...]:
        """The rows of all records, in their order."""
        for piece in pieces:
            if self._begun and piece.address != self._next:
                self._give_up_word()
            if self._can_stand(piece):
                self._add(piece)
        self._give_up_word()
        return tuple(row._replace(cells=tuple(cells)) for row, cells in self._rows if cells)

    def _can_stand(self, piece: Piece) -> bool:
        """Whether a record begins where it may, and lies in the store."""
        first, last = piece.address // self._size, (piece.address + len(piece.values) - 1) // self._size
        message = ""
        if piece.address % self._size and not self._begun:
            word = in_base(first, self._card.program.base)
            message = f"begins inside the word {word}; expected a record that begins with a whole word"
        elif last >= self._card.store_words:
            store = f"{self._card.store_words:,} words"
            message = f"runs over the end of the store of '{self._card.name}', {store}"
        if message:
            self.problems.append(self._text.problem(piece.line, 1, message))
        return not message

    def _add(self, piece: Piece) -> None:
        is_whole = not self._begun and len(piece.values) % self._size == 0
        if not is_whole and piece.check.is_wrong:
            self.faults.append(self._text.problem(piece.line, piece.check.column, wrong_check(piece.check)))
        check = piece.check if is_whole else None
        own: list[Cell] = []
        self._rows.append((Row(piece.line, ceil_divide(piece.address, self._size), (), check), own))
        for value, column in zip(piece.values, piece.columns, strict=True):
            if not self._begun:
                self._cells = own
            self._begun.append(_Byte(value, piece.line, column))
            if len(self._begun) == self._size:
                self._end_word()
        self._next = piece.address + len(piece.values)

    def _end_word(self) -> None:
        """Put a word that is complete into the row in which it began."""
        first = self._begun[0]
        values = bytes(each.value for each in self._begun)
        word = int.from_bytes(values, "big")
        fits = word >> self._card.word_bits == 0
        self._cells.append(Cell(values.hex().upper(), word if fits else None, first.line, first.column))
        self._begun = []

    def _give_up_word(self) -> None:
        """Tell that a word has begun and does not end."""
        if self._begun:
            first, missing = self._begun[0], self._size - len(self._begun)
            message = f"a word of {self._size} bytes begins here; expected {missing} more in the next record"
            self.problems.append(self._text.problem(first.line, first.column, message))
        self._begun = []
