"""Sorted keys: the numbers of the boards that play can meet, increasing, each with its move.

Head: how many keys there are, the least key, and the bits of a key.  A key is the number of a board less the least.
Where it takes no more words, each move stands beside its key in one field; else all keys come first and then all
moves.  The program halves the table until it has found the key: as many steps as the count of keys has bits.

Workspace: the key that is sought; the lower end, the upper end and the middle of what is left of the table.
"""

from typing import NamedTuple

import numpy as np

from budget.boards import board_index, index_bits, indexed_answers, looked_up, turning_words
from budget.card import CostCard
from budget.packed import NO_MOVE, Packed, no_moves, refuse_if_too_large
from budget.packing import Fields, Words, as_array, as_words, bits_for
from games.codes import Codes, Indices, MoveIds
from games.housed import HousedGame
from solver.fixed import FixedPlay

NAME = "sorted-keys"
TITLE = "sorted keys with binary search"


class _Head(NamedTuple):
    """What the head says: how many keys, the least of them, and how wide they are."""

    keys: int
    least: int
    key_bits: int

    def pack(self, game: HousedGame, word_bits: int) -> Codes:
        return np.concatenate(
            [
                fields.pack(np.array([value], dtype=np.uint64))
                for fields, value in zip(_head_fields(game, word_bits), self, strict=True)
            ]
        )

    @classmethod
    def read(cls, store: Codes, game: HousedGame, word_bits: int) -> "_Head":
        values = []
        at = 0
        for fields in _head_fields(game, word_bits):
            values.append(int(fields.read(store[at:], np.zeros(1, dtype=np.intp))[0]))
            at += fields.words_for(1)
        return cls(*values)


def _head_fields(game: HousedGame, word_bits: int) -> tuple[Fields, Fields, Fields]:
    """The fields of the head: each begins in a word of its own."""
    number = index_bits(game)
    whole = Fields.of(number, word_bits)
    return whole, whole, Fields.of(number.bit_length(), word_bits)


class _Table(NamedTuple):
    """Keys and moves, side by side in one field (`moves` is None) or in two runs of fields."""

    head: _Head
    move_bits: int
    keys: Fields
    moves: Fields | None

    @classmethod
    def of(cls, head: _Head, move_bits: int, word_bits: int) -> "_Table":
        beside = Fields.of(head.key_bits + move_bits, word_bits)
        keys, moves = Fields.of(head.key_bits, word_bits), Fields.of(move_bits, word_bits)
        apart = keys.words_for(head.keys) + moves.words_for(head.keys)
        if beside.words_for(head.keys) <= apart:
            return cls(head, move_bits, beside, None)
        return cls(head, move_bits, keys, moves)

    @property
    def words(self) -> int:
        count = self.head.keys
        return self.keys.words_for(count) + (self.moves.words_for(count) if self.moves else 0)

    def pack(self, keys: Codes, moves: Codes) -> Codes:
        if self.moves is None:
            return self.keys.pack(keys | moves << np.uint64(self.head.key_bits))
        return np.concatenate([self.keys.pack(keys), self.moves.pack(moves)])

    def key(self, store: Codes, places: Indices) -> Codes:
        return self.keys.read(store, places) & np.uint64((1 << self.head.key_bits) - 1)

    def move(self, store: Codes, places: Indices) -> Codes:
        if self.moves is None:
            return self.keys.read(store, places) >> np.uint64(self.head.key_bits)
        return self.moves.read(store[self.keys.words_for(self.head.keys) :], places)


def pack(play: FixedPlay, card: CostCard) -> Packed:
    """Each board's key and move."""
    index, moves = indexed_answers(play)
    keys = index - index[0]
    head = _Head(len(keys), int(index[0]), int(keys[-1]).bit_length())
    table = _Table.of(head, bits_for(play.game.fair_moves), card.word_bits)
    head_words = head.pack(play.game, card.word_bits)
    refuse_if_too_large(len(head_words) + table.words)
    head_bits = sum(fields.bits for fields in _head_fields(play.game, card.word_bits))
    layout = "each move beside its key" if table.moves is None else "all keys, then all moves"
    return Packed(
        NAME,
        play.reading,
        card.word_bits,
        as_words(head_words, table.pack(keys, moves.astype(np.uint64))),
        head_bits + (head.key_bits + table.move_bits) * len(keys),
        len(keys),
        card.words_holding(index_bits(play.game)) + 3 * card.address_words + turning_words(play.reading),
        (f"keys of {head.key_bits} bits, {layout}",),
    )


def decode(words: Words, word_bits: int, reading: str, game: HousedGame, codes: Codes) -> MoveIds:
    """Search for each board's key."""
    store = as_array(words)
    first = sum(fields.words_for(1) for fields in _head_fields(game, word_bits))
    if len(store) < first:
        return no_moves(len(codes))
    head = _Head.read(store, game, word_bits)
    table = _Table.of(head, bits_for(game.fair_moves), word_bits)
    if not head.keys or head.key_bits > index_bits(game) or table.words > len(store) - first:
        return no_moves(len(codes))

    def look_up(boards: Codes) -> MoveIds:
        index = board_index(game, boards)
        wanted = index - np.uint64(head.least)  # below the least this wraps round to more than any key
        places = _search(table, store[first:], wanted)
        moves = table.move(store[first:], places)
        right = (table.key(store[first:], places) == wanted) & (moves < game.fair_moves)
        return np.where(right, moves, NO_MOVE).astype(np.uint16)

    return looked_up(game.fair, reading, codes, look_up)


def _search(table: _Table, store: Codes, wanted: Codes) -> Indices:
    """Where each wanted key must stand if it is there at all.

    Invariant: the last key that is not above the wanted one, if any, stands in ``low <= place < high``.
    """
    low = np.zeros(len(wanted), dtype=np.intp)
    high = np.full(len(wanted), table.head.keys, dtype=np.intp)
    for _ in range(table.head.keys.bit_length()):
        middle = (low + high) // 2
        above = table.key(store, middle) > wanted
        high = np.where(above, middle, high)
        low = np.where(above, low, middle)
    return low
