"""Numbers packed into words, bit for bit, and read back from the words alone.

Fields are packed from the low end: the first field of a word is the one that is left when the others are shifted out
to the right, and the first word of a wide field holds its low bits.  Only a row of single bits begins at the top of a
word.  A word has 1 to 40 bits.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import Codes, Indices

Words = tuple[int, ...]
"""Words of store, each at least 0 and below 2 ** (bits of a word)."""


class Unreadable(Exception):
    """The words do not hold what they should: a decoder ran past their end, or met what no encoder writes."""


def ceil_divide(amount: int, size: int) -> int:
    """How many parts of `size` hold `amount`."""
    return -(-amount // size)


def bits_for(choices: int) -> int:
    """How many bits tell this many things apart: none for one thing."""
    return max(choices - 1, 0).bit_length()


class Fields(NamedTuple):
    """How fields of `bits` bits (0 to 63) lie in words: `per_word` to a word, or `words_each` words to a field."""

    bits: int
    word_bits: int
    per_word: int
    words_each: int

    @classmethod
    def of(cls, bits: int, word_bits: int) -> "Fields":
        """As many whole fields in a word as fit, or as few words for a field as hold it."""
        if bits > word_bits:
            return cls(bits, word_bits, 1, ceil_divide(bits, word_bits))
        return cls(bits, word_bits, word_bits // max(bits, 1), 1)

    def words_for(self, count: int) -> int:
        """How many words this many fields take; fields without bits take none."""
        return ceil_divide(count, self.per_word) * self.words_each if self.bits else 0

    def count_in(self, words: int) -> int:
        """How many fields lie in this many words; without bits, as many as one likes."""
        return words // self.words_each * self.per_word if self.bits else 1 << 62

    def pack(self, values: Codes) -> Codes:
        """Pack values of shape (n,), each below ``2 ** bits``, into words of shape ``(words_for(n),)``."""
        if len(values) and int(values.max()) >> self.bits:
            raise ValueError(f"{int(values.max())} does not fit in {self.bits} bits")
        if not self.bits:
            return np.zeros(0, dtype=np.uint64)
        if self.words_each > 1:
            mask = np.uint64((1 << self.word_bits) - 1)
            return (values[:, None] >> _shifts(self.words_each, self.word_bits) & mask).ravel()
        padded = np.zeros(self.words_for(len(values)) * self.per_word, dtype=np.uint64)
        padded[: len(values)] = values
        shifted = padded.reshape(-1, self.per_word) << _shifts(self.per_word, self.bits)
        return _joined(shifted)

    def read(self, words: Codes, places: Indices) -> Codes:
        """The fields at these places, from 0; shape (n,).  IndexError if a place lies beyond the words."""
        if not self.bits:
            return np.zeros(len(places), dtype=np.uint64)
        if self.words_each > 1:
            parts = words[places[:, None] * self.words_each + np.arange(self.words_each)]
            return _joined(parts << _shifts(self.words_each, self.word_bits))
        shift = (places % self.per_word * self.bits).astype(np.uint64)
        return words[places // self.per_word] >> shift & np.uint64((1 << self.bits) - 1)


def _shifts(count: int, step: int) -> Codes:
    return np.arange(count, dtype=np.uint64) * np.uint64(step)


def _joined(parts: Codes) -> Codes:
    """The union of the bits of each row: shape (n, k) to (n,)."""
    return np.asarray(np.bitwise_or.reduce(parts, axis=1), dtype=np.uint64)


class Run(NamedTuple):
    """`total` numbers of `bits` bits in words, laid so that few instructions find the one at a place.

    Where words hold several, number i lies in word ``i % words``, at place ``i // words`` from the low end: a program
    takes the count of words away until that no longer goes.  Where a number takes several words, the low parts of all
    numbers come first, then the next parts: each part is a table of its own.
    """

    bits: int
    word_bits: int
    total: int

    @property
    def fields(self) -> Fields:
        """How many go into a word, or how many words one takes."""
        return Fields.of(self.bits, self.word_bits)

    @property
    def words(self) -> int:
        """How many words they take; numbers without bits take none."""
        return self.fields.words_for(self.total)

    def pack(self, values: Codes) -> Codes:
        """Pack `total` values, each below ``2 ** bits``, into `words` words."""
        fields, words = self.fields, self.words
        if not words:
            return np.zeros(0, dtype=np.uint64)
        if fields.words_each > 1:
            return fields.pack(values).reshape(-1, fields.words_each).T.ravel()
        spread = np.zeros(words * fields.per_word, dtype=np.uint64)
        spread[: len(values)] = values
        return fields.pack(spread.reshape(fields.per_word, words).T.ravel())

    def read(self, words: Codes, places: Indices) -> Codes:
        """The numbers at these places, from 0; shape (n,).  IndexError if a place lies beyond the last."""
        fields = self.fields
        if len(places) and not 0 <= int(places.max()) < self.total:
            raise IndexError(f"no place beyond {self.total}")
        if fields.words_each > 1:
            parts = words[places[:, None] + np.arange(fields.words_each) * self.total]
            return _joined(parts << _shifts(fields.words_each, self.word_bits))
        if not self.bits:
            return np.zeros(len(places), dtype=np.uint64)
        return fields.read(words, places % self.words * fields.per_word + places // self.words)


def bits_of(values: Codes, widths: Indices) -> Codes:
    """Values of shape (n,), each as so many bits, high bits first, one after the other: 0 and 1, (sum of widths,)."""
    ends = np.cumsum(widths)
    owner = np.repeat(np.arange(len(values)), widths)
    place = np.repeat(ends, widths) - 1 - np.arange(len(owner))
    bits: Codes = values[owner] >> place.astype(np.uint64) & np.uint64(1)
    return bits


def in_words(bits: Codes, word_bits: int) -> Codes:
    """Bits of shape (n,) in words, one after the other, the first at the top: a word that is doubled lets one go."""
    padded = np.zeros((ceil_divide(len(bits), word_bits), word_bits), dtype=np.uint64)
    padded.ravel()[: len(bits)] = bits
    return Fields.of(1, word_bits).pack(padded[:, ::-1].ravel())


class BitReader:
    """Reads numbers of any width, one after the other, from words into which `in_words` has put their bits."""

    __slots__ = ("_place", "_word_bits", "_words")

    def __init__(self, words: Sequence[int], word_bits: int) -> None:
        self._words = words
        self._word_bits = word_bits
        self._place = 0

    def read(self, width: int) -> int:
        """The next `width` bits as a number.  Raises Unreadable past the last word."""
        value = 0
        while width:
            word, bit = divmod(self._place, self._word_bits)
            if word >= len(self._words):
                raise Unreadable("the words end before the answers do")
            taken = min(width, self._word_bits - bit)
            below = self._word_bits - bit - taken
            value = value << taken | self._words[word] >> below & (1 << taken) - 1
            width -= taken
            self._place += taken
        return value


def as_words(*parts: npt.NDArray[np.uint64]) -> Words:
    """Packed parts, one after the other, as plain numbers."""
    return tuple(np.concatenate(parts).tolist()) if parts else ()


def as_array(words: Words) -> Codes:
    """Plain numbers as an array to read from."""
    return np.array(words, dtype=np.uint64)
