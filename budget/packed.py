"""What an encoding makes of a play: columns of numbers, and from these, for a machine, words.

A table is laid out once for all machines; how long a word is decides only how its columns lie in words, and which of
several layouts takes the fewest.  A shape is what is left of a table without its numbers: enough to count its words.
"""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from budget.card import LONGEST_WORD, CostCard
from budget.packing import Fields, Run, Unreadable, Words, as_array, as_words, in_words
from games.codes import Codes, Indices, MoveIds

LARGEST_TABLE = 1 << 20
"""Words.  As many as the largest store; a larger table would fit nowhere and is not built."""
NO_MOVE = 0xFFFF
"""Stands for the answer where a decoder finds none; no game has that many moves."""


class NotApplicable(Exception):
    """An encoding cannot hold a play; the message is the reason, in words."""


class Workspace(NamedTuple):
    """What a program that reads a table needs besides the board.

    numbers: the bits of each number that it keeps; addresses: how many addresses of words; words: whatever takes one
    word on every machine.
    """

    numbers: tuple[int, ...]
    addresses: int
    words: int

    def on(self, card: CostCard) -> int:
        """The words that this takes on a machine."""
        return sum(map(card.words_holding, self.numbers)) + self.addresses * card.address_words + self.words


class Column(NamedTuple):
    """Numbers of the same width: values (n,), each below ``2 ** bits``; bits: 0 to 63.

    in_a_row: single bits, one after the other as they are read (`packing.in_words`); else each number can be found by
    its place (`packing.Run`).
    """

    bits: int
    values: Codes
    in_a_row: bool = False

    def pack(self, word_bits: int) -> Codes:
        """The column in words."""
        if self.in_a_row:
            return in_words(self.values, word_bits)
        return Run(self.bits, word_bits, len(self.values)).pack(self.values)


class Layout(NamedTuple):
    """One way to lay out a table: its columns, each from a new word on, and a sentence about it.

    constants: the numbers by name that whoever reads it must know besides: a program has them in its instructions.
    """

    note: str
    columns: tuple[Column, ...]
    constants: Mapping[str, int]

    @property
    def shape(self) -> "LayoutShape":
        """The layout without its numbers."""
        return LayoutShape(self.note, tuple((column.bits, len(column.values)) for column in self.columns))


class LayoutShape(NamedTuple):
    """A layout without its numbers: for each column the bits of a number and how many there are."""

    note: str
    columns: tuple[tuple[int, int], ...]

    @property
    def bits(self) -> int:
        """The bits that mean something, before rounding up to whole words."""
        return sum(bits * count for bits, count in self.columns)

    def words(self, word_bits: int) -> int:
        """How many words of so many bits it takes."""
        return sum(Fields.of(bits, word_bits).words_for(count) for bits, count in self.columns)


class Shape(NamedTuple):
    """What the size of a table hangs on, whatever the machine.

    answers: the boards whose move is stored; layouts: the ways to lay it out, of which the shortest is taken.
    """

    encoding: str
    reading: str
    answers: int
    layouts: tuple[LayoutShape, ...]
    workspace: Workspace

    def shortest(self, word_bits: int) -> int:
        """The place of the layout that takes the fewest words; of equal ones the first.

        Raises NotApplicable for a table that no store could hold.
        """
        words, place = min((layout.words(word_bits), place) for place, layout in enumerate(self.layouts))
        refuse_if_too_large(words)
        return place

    def on(self, word_bits: int) -> LayoutShape:
        """The layout that takes the fewest words.  Raises NotApplicable as `shortest` does."""
        return self.layouts[self.shortest(word_bits)]


class Table(NamedTuple):
    """A play laid out by an encoding; see `Shape`, which says the same without the numbers."""

    encoding: str
    reading: str
    answers: int
    layouts: tuple[Layout, ...]
    workspace: Workspace

    @property
    def shape(self) -> Shape:
        """The table without its numbers."""
        layouts = tuple(layout.shape for layout in self.layouts)
        return Shape(self.encoding, self.reading, self.answers, layouts, self.workspace)

    def pack(self, word_bits: int) -> "Packed":
        """The table in words, laid out the shortest way.  Raises NotApplicable where no store could hold them."""
        return self.pack_as(self.shape.shortest(word_bits), word_bits)

    def pack_as(self, place: int, word_bits: int) -> "Packed":
        """The table in words, in the layout at a place."""
        layout = self.layouts[place]
        words = as_words(*(column.pack(word_bits) for column in layout.columns))
        return Packed(self.encoding, self.reading, word_bits, words, layout.shape.columns, layout.constants)


class Packed(NamedTuple):
    """A play packed into words of `word_bits` bits.

    columns: for each the bits of a number and how many there are; constants: as in `Layout`.
    """

    encoding: str
    reading: str
    word_bits: int
    words: Words
    columns: tuple[tuple[int, int], ...]
    constants: Mapping[str, int]

    def words_of(self, column: int) -> Words:
        """The words of one column.  Raises Unreadable where they end too soon."""
        sizes = [Fields.of(bits, self.word_bits).words_for(count) for bits, count in self.columns]
        begin = sum(sizes[:column])
        if begin + sizes[column] > len(self.words):
            raise Unreadable("the words end before the table does")
        return self.words[begin : begin + sizes[column]]

    def run(self, column: int) -> Run:
        """How one column lies in its words."""
        bits, count = self.columns[column]
        return Run(bits, self.word_bits, count)

    def read(self, column: int, places: Indices) -> Codes:
        """The numbers of a column at these places, each below its count.  Raises Unreadable as `words_of` does."""
        return self.run(column).read(as_array(self.words_of(column)), places)


def refuse_if_too_large(words: int, word_bits: int | None = None) -> None:
    """Raise NotApplicable for a table that no store could hold (of words so long, if that is to be said)."""
    if words > LARGEST_TABLE:
        long = "" if word_bits is None else f" of {word_bits} bits"
        raise NotApplicable(
            f"it would take {words:,} words{long}, more than the {LARGEST_TABLE:,} of the largest store"
        )


def refuse_if_nowhere(bits: int, count: int) -> None:
    """Raise NotApplicable for a column that no store could hold, however long its words are: it is not even made."""
    refuse_if_too_large(Fields.of(bits, LONGEST_WORD).words_for(count), LONGEST_WORD)


def no_moves(count: int) -> MoveIds:
    """The answer of a decoder that cannot make sense of its words: no move for any of `count` boards."""
    return np.full(count, NO_MOVE, dtype=np.uint16)
