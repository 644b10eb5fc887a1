"""The dense table: one field for every number from the least board's to the greatest's.

Head: the bits of a field (and how boards are numbered, where there are two ways); the least board's number.  Then one
field for each number, from the least on, that holds the move (by its place among the legal ones), or nothing of use
where the number is no board that play can meet.  The program works out the number of the board, takes the least away
and has its field: the quickest look-up, and often the largest table.

Workspace: the board's number; the address of the word that holds its field; the field's place in that word.
"""

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
from budget.packed import Column, Layout, Table, Workspace, no_moves, one_number, refuse_if_nowhere
from budget.packing import Fields, HeadReader, Words
from games.codes import Codes, MoveIds
from games.housed import HousedGame
from solver.fixed import FixedPlay

NAME = "dense"
TITLE = "dense table indexed by the board"


def lay_out(play: FixedPlay) -> Table:
    """One field for each number from the least to the greatest."""
    choice, numbers, places = numbered_answers(play)
    number, bits = numberings(play.game)[choice].bits, place_bits(places)
    span = int(numbers[-1] - numbers[0]) + 1
    refuse_if_nowhere(bits, span)
    fields = np.zeros(span if bits else 0, dtype=np.uint64)
    if bits:
        fields[(numbers - numbers[0]).astype(np.intp)] = places
    columns = (
        one_number((place_width(play.game), bits), (choice_bits(play.game), choice)),
        Column(number, numbers[:1]),
        Column(bits, fields),
    )
    return Table(
        NAME,
        play.reading,
        len(numbers),
        (Layout(f"{len(numbers):,} of {span:,} fields are used", columns),),
        Workspace((number,), 1, 1 + turning_words(play.reading)),
    )


def decode(words: Words, word_bits: int, reading: str, game: HousedGame, codes: Codes) -> MoveIds:
    """The field of each board's number.  Raises Unreadable where the words end within the head."""
    head = HeadReader(words, word_bits)
    bits, choice = head.read(place_width(game), choice_bits(game))
    numbering = numberings(game)[choice]
    [least] = head.read(numbering.bits)
    fields = Fields.of(bits, word_bits)
    held = fields.count_in(len(head.words))

    def look_up(boards: Codes) -> MoveIds:
        above = numbering(boards) - np.uint64(least)  # below the least this wraps round to a huge number
        inside = above < np.uint64(held)
        moves = no_moves(len(boards))
        places = fields.read(head.words, above[inside].astype(np.intp))
        moves[inside] = moves_at(game.fair, boards[inside], places)
        return moves

    return looked_up(game.fair, reading, codes, look_up)
