"""The dense table: one field for every number from the least board's to the greatest's.

Head: the least board's number.  Then one field for each number, from the least on, that holds the move (by its
place among the names of moves), or nothing of use where the number is no board that play can meet.  The program
works out the number of the board, takes the least away and has its field: the quickest look-up, and often the
largest table.

Workspace: the board's number; the address of the word that holds its field; the field's place in that word.
"""

import numpy as np

from budget.boards import board_index, index_bits, indexed_answers, looked_up, turning_words
from budget.card import CostCard
from budget.packed import NO_MOVE, Packed, no_moves, refuse_if_too_large
from budget.packing import Fields, Words, as_array, as_words, bits_for
from games.codes import Codes, MoveIds
from games.housed import HousedGame
from solver.fixed import FixedPlay

NAME = "dense"
TITLE = "dense table indexed by the board"


def pack(play: FixedPlay, card: CostCard) -> Packed:
    """One field for each number from the least to the greatest."""
    index, moves = indexed_answers(play)
    head, entries = _layout(play.game, card.word_bits)
    span = int(index[-1] - index[0]) + 1
    refuse_if_too_large(head.words_for(1) + entries.words_for(span))
    table = np.zeros(span, dtype=np.uint64)
    table[(index - index[0]).astype(np.intp)] = moves
    return Packed(
        NAME,
        play.reading,
        card.word_bits,
        as_words(head.pack(index[:1]), entries.pack(table)),
        head.bits + entries.bits * span,
        len(index),
        card.words_holding(head.bits) + card.address_words + 1 + turning_words(play.reading),
        (f"{len(index):,} of {span:,} fields are used",),
    )


def decode(words: Words, word_bits: int, reading: str, game: HousedGame, codes: Codes) -> MoveIds:
    """The field of each board's number."""
    store = as_array(words)
    head, entries = _layout(game, word_bits)
    first = head.words_for(1)
    if len(store) < first:
        return no_moves(len(codes))
    least = head.read(store, np.zeros(1, dtype=np.intp))[0]
    held = entries.count_in(len(store) - first)

    def look_up(boards: Codes) -> MoveIds:
        index = board_index(game, boards)
        inside = (index >= least) & (index - least < held)
        moves = no_moves(len(boards))
        found = entries.read(store[first:], (index[inside] - least).astype(np.intp))
        moves[inside] = np.where(found < game.fair_moves, found, NO_MOVE)
        return moves

    return looked_up(game.fair, reading, codes, look_up)


def _layout(game: HousedGame, word_bits: int) -> tuple[Fields, Fields]:
    """The fields of the head and those of the table."""
    return Fields.of(index_bits(game), word_bits), Fields.of(bits_for(game.fair_moves), word_bits)
