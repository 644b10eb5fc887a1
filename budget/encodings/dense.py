"""The dense table: one field for every number from the least board's to the greatest's.

A field holds the move, or nothing of use where the number is no board that play can meet.  The program works out
the number of the board, takes the least away and has its field: the quickest look-up, and often the largest table.
It has the least board's number in its instructions.

Bits: (the greatest number - the least + 1) x m, where m bits hold any move that is stored.  Common practice.

Workspace: the board's number; the address of the word that holds its field; the field's place in that word.
"""

import numpy as np

from budget.boards import Said, looked_up, numbered_answers, numberings, turning_words
from budget.lowering.answering import Answering
from budget.lowering.answering.table_index import Indexed
from budget.lowering.ground import Ground, Setting
from budget.packed import Column, Layout, Packed, Table, Workspace, no_moves, refuse_if_nowhere
from games.codes import Codes, MoveIds
from games.housed import HousedGame
from solver.fixed import FixedPlay

NAME = "dense"
TITLE = "dense table indexed by the board"


def lay_out(play: FixedPlay) -> Table:
    """One field for each number from the least to the greatest."""
    numbered = numbered_answers(play)
    numbers = numbered.numbers
    span = int(numbers[-1] - numbers[0]) + 1
    layouts = []
    for said in numbered.said():
        refuse_if_nowhere(said.bits, span)
        fields = np.zeros(span if said.bits else 0, dtype=np.uint64)
        if said.bits:
            fields[(numbers - numbers[0]).astype(np.intp)] = said.values
        note = f"{len(numbers):,} of {span:,} fields are used, {said.note}"
        known = {"numbering": numbered.numbering, "least": int(numbers[0]), "by place": int(said.by_place)}
        layouts.append(Layout(note, (Column(said.bits, fields),), known))
    number = numberings(play.game)[numbered.numbering].bits
    workspace = Workspace((number,), 1, 1 + turning_words(play.reading))
    return Table(NAME, play.reading, len(numbers), tuple(layouts), workspace)


def decode(packed: Packed, game: HousedGame, codes: Codes) -> MoveIds:
    """The field of each board's number."""
    known = packed.constants
    numbering = numberings(game)[known["numbering"]]
    bits, held = packed.columns[0]

    def look_up(boards: Codes) -> MoveIds:
        above = numbering(boards) - np.uint64(
            known["least"]
        )  # below the least this wraps round to a huge number
        inside = above < np.uint64(held) if bits else np.ones(len(boards), dtype=bool)
        moves = no_moves(len(boards))
        places = above[inside].astype(np.intp)
        values = packed.read(0, places) if bits else np.zeros(len(places), dtype=np.uint64)
        moves[inside] = Said(bool(known["by place"]), values).on(game.fair, boards[inside])
        return moves

    return looked_up(game.fair, packed.reading, codes, look_up)


def decoder(setting: Setting, ground: Ground, packed: Packed) -> Answering:
    """The program's look-up: the number of the board, less the least, leads to the field."""
    return Indexed(setting, ground, packed)
