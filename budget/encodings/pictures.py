"""Ordered pictures: short lists of digits that must have some value, the first that fits giving the move.

One row of numbers: a digit with its value for each that a picture asks for, then its move.  A picture does not fit
where its move cannot be made.  Boards that play cannot meet may be taken for others: so few digits are asked for.

Bits: (digits asked for + pictures) x b, where b bits hold a digit with its value, or a move above those.  Such lists
are decision lists: Rivest, "Learning decision lists", Machine Learning 2 (1987) 229-246 (from memory); that a picture
does not fit where its move cannot be made is our own.

Workspace: the place in the row; the number that stands there; the value that is asked for.
"""

from functools import lru_cache

import numpy as np

from budget.boards import looked_up, numberings, turning_words
from budget.lowering.answering import Answering
from budget.lowering.answering.table_pictures import Pictured
from budget.lowering.digits import base_constants, bases_in, digited_answers, digits_of
from budget.lowering.ground import Ground, Setting
from budget.packed import NO_MOVE, Column, Layout, NotApplicable, Packed, Table, Workspace, no_moves
from budget.packing import bits_for
from budget.picturing import Boards, short_list
from games.codes import Codes, Flags, MoveIds
from games.game import Game
from games.housed import HousedGame
from solver.fixed import FixedPlay

NAME = "pictures"
TITLE = "ordered pictures, the first that fits"

MOST_BOARDS = 500
"""Of more no list is looked for: it would take minutes."""


@lru_cache(maxsize=8)
def lay_out(play: FixedPlay) -> Table:
    """The pictures in order."""
    if len(play.codes) > MOST_BOARDS:
        raise NotApplicable(f"no pictures are looked for where there are more than {MOST_BOARDS:,} boards")
    answers = digited_answers(play)
    numbered = answers.numbered
    boards = Boards(
        answers.digits.astype(np.int64),
        numbered.moves.astype(np.int64),
        _can(play.game.fair, numbered.codes),
    )
    pictures = short_list(boards)
    value_bits, leaf = bits_for(max(answers.bases)), len(answers.bases)
    row = []
    for picture in pictures:
        row += [digit << value_bits | value for digit, value in picture.asked]
        row.append((leaf << value_bits) + picture.move)
    known = {"value bits": value_bits, **base_constants(answers.bases)}
    note = f"{len(pictures):,} pictures, {len(row) - len(pictures):,} digits asked for"
    layout = Layout(note, (Column(max(row).bit_length(), np.array(row, dtype=np.uint64)),), known)
    workspace = Workspace((), 1, 2 + turning_words(play.reading))
    return Table(NAME, play.reading, len(numbered.numbers), (layout,), workspace)


def _can(game: Game, codes: Codes) -> Flags:
    """Which moves can be made on which boards, (n, moves)."""
    can = np.zeros((len(codes), len(game.move_names)), dtype=bool)
    legal = game.moves(codes)
    can[legal.parent, legal.move] = True
    return can


def decode(packed: Packed, game: HousedGame, codes: Codes) -> MoveIds:
    """The move of the first picture that fits."""
    known, numbering, (_, total) = packed.constants, numberings(game)[0], packed.columns[0]
    row = packed.read(0, np.arange(total)).astype(np.int64).tolist()
    bases = bases_in(known)
    first_move = len(bases) << known["value bits"]

    def look_up(boards: Codes) -> MoveIds:
        digits = digits_of(numbering(boards), bases).astype(np.int64)
        can = _can(game.fair, boards)
        moves = no_moves(len(boards))
        fits = np.ones(len(boards), dtype=bool)
        for number in row:
            if number < first_move:
                digit, value = number >> known["value bits"], number & (1 << known["value bits"]) - 1
                fits &= digits[:, digit] == value
            else:
                move = number - first_move
                if move < can.shape[1]:
                    moves[fits & can[:, move] & (moves == NO_MOVE)] = move
                fits[:] = True
        return moves

    return looked_up(game.fair, packed.reading, codes, look_up)


def decoder(setting: Setting, ground: Ground, packed: Packed) -> Answering:
    """The program's search for the first picture that fits."""
    return Pictured(setting, ground, packed)
