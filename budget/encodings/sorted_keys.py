"""Sorted keys: the numbers of the boards that play can meet, increasing, each with its move.

Head: the bits of a key and of a move (and how boards are numbered, where there are two ways); how many keys there are;
the least board's number.  A key is the number of a board less the least; a move is its place among the legal ones.
Where it takes no more words, each move stands beside its key in one field; else all keys come first and then all moves.
The program halves the table until it has found the key: as many steps as the count of keys has bits.

Workspace: the key that is sought; the lower end, the upper end and the middle of what is left of the table.
"""

from typing import NamedTuple

import numpy as np

from budget.boards import (
    choice_bits,
    looked_up,
    moves_at,
    numbered_answers,
    numberings,
    place_bits,
    place_width,
    turning_words,
)
from budget.packed import Column, Layout, Table, Workspace, no_moves, one_number
from budget.packing import Fields, HeadReader, Unreadable, Words
from games.codes import Codes, Indices, MoveIds
from games.housed import HousedGame
from solver.fixed import FixedPlay

NAME = "sorted-keys"
TITLE = "sorted keys with binary search"
WIDEST = 63
"""Bits: what a field holds at most."""


def lay_out(play: FixedPlay) -> Table:
    """Each board's key and move."""
    choice, numbers, places = numbered_answers(play)
    number = numberings(play.game)[choice].bits
    keys = numbers - numbers[0]
    key_bits, move_bits = int(keys[-1]).bit_length(), place_bits(places)
    head = (
        one_number(
            (_key_width(play.game), key_bits),
            (place_width(play.game), move_bits),
            (choice_bits(play.game), choice),
        ),
        one_number((number, len(keys))),
        Column(number, numbers[:1]),
    )
    wide, apart = f"keys of {key_bits} bits", (Column(key_bits, keys), Column(move_bits, places))
    layouts = [Layout(f"{wide}, all keys, then all moves", (*head, *apart))]
    if key_bits + move_bits <= WIDEST:
        beside = Column(key_bits + move_bits, keys | places << np.uint64(key_bits))
        layouts.insert(0, Layout(f"{wide}, each move beside its key", (*head, beside)))
    workspace = Workspace((number,), 3, turning_words(play.reading))
    return Table(NAME, play.reading, len(keys), tuple(layouts), workspace)


def _key_width(game: HousedGame) -> int:
    """How many bits say how many bits a key takes."""
    return max(numbering.bits for numbering in numberings(game)).bit_length()


class _Stored(NamedTuple):
    """Keys and moves in words, side by side in one field (`moves` is None) or in two runs of fields."""

    store: Codes
    total: int
    key_bits: int
    keys: Fields
    moves: Fields | None

    @classmethod
    def of(cls, store: Codes, total: int, key_bits: int, move_bits: int, word_bits: int) -> "_Stored":
        """Raises Unreadable where the words cannot hold so many."""
        keys, moves = Fields.of(key_bits, word_bits), Fields.of(move_bits, word_bits)
        words = keys.words_for(total) + moves.words_for(total)
        stored = cls(store, total, key_bits, keys, moves)
        if key_bits + move_bits <= WIDEST:
            beside = Fields.of(key_bits + move_bits, word_bits)
            if beside.words_for(total) <= words:
                stored, words = cls(store, total, key_bits, beside, None), beside.words_for(total)
        if not total or words > len(store):
            raise Unreadable("the words end before the keys do")
        return stored

    def key(self, places: Indices) -> Codes:
        return self.keys.read(self.store, places) & np.uint64((1 << self.key_bits) - 1)

    def move(self, places: Indices) -> Codes:
        if self.moves is None:
            return self.keys.read(self.store, places) >> np.uint64(self.key_bits)
        return self.moves.read(self.store[self.keys.words_for(self.total) :], places)

    def search(self, wanted: Codes) -> Indices:
        """Where each wanted key must stand if it is there at all.

        Invariant: the last key that is not above the wanted one, if any, stands in ``low <= place < high``.
        """
        low = np.zeros(len(wanted), dtype=np.intp)
        high = np.full(len(wanted), self.total, dtype=np.intp)
        for _ in range(self.total.bit_length()):
            middle = (low + high) // 2
            above = self.key(middle) > wanted
            high = np.where(above, middle, high)
            low = np.where(above, low, middle)
        return low


def decode(words: Words, word_bits: int, reading: str, game: HousedGame, codes: Codes) -> MoveIds:
    """Search for each board's key.  Raises Unreadable where the words end too soon."""
    head = HeadReader(words, word_bits)
    key_bits, move_bits, choice = head.read(_key_width(game), place_width(game), choice_bits(game))
    numbering = numberings(game)[choice]
    [total], [least] = head.read(numbering.bits), head.read(numbering.bits)
    stored = _Stored.of(head.words, total, key_bits, move_bits, word_bits)

    def look_up(boards: Codes) -> MoveIds:
        wanted = numbering(boards) - np.uint64(least)  # below the least this wraps round to a huge key
        places = stored.search(wanted)
        moves = no_moves(len(boards))
        found = np.nonzero(stored.key(places) == wanted)[0]
        moves[found] = moves_at(game.fair, boards[found], stored.move(places[found]))
        return moves

    return looked_up(game.fair, reading, codes, look_up)
