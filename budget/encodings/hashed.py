"""A hash without keys: the answers of all boards in slots, several boards to a slot where their answers agree.

A hash of the board gives its row and its column.  One table says by how much each row is shifted, and the column and
that shift make the place of the slot that holds the move.  Rows are shifted so that slots are shared where answers
agree, and boards that play cannot meet may lead anywhere: so there are hardly more slots than boards, or fewer.

Bits: 2 ** r x s + slots x m, for rows of r bits, where s bits hold any shift and m any move that is stored.  To shift
the rows of a sparse table until they fit into one another is due to Tarjan and Yao, "Storing a sparse table", Comm. ACM
22 (1979) 606-611 (from memory); that slots with the same answer are shared, and that rows come of a hash of digits, is
our own.

Workspace: the hash, or two; the row; the place of the slot.
"""

from functools import lru_cache

import numpy as np

from budget.boards import Said, looked_up, numberings, turning_words
from budget.hashing import Hash, Overlaid, overlaid
from budget.lowering.answering import Answering
from budget.lowering.answering.table_hash import Hashed
from budget.lowering.digits import Digited, base_constants, bases_in, digited_answers, digits_of
from budget.lowering.ground import Ground, Setting
from budget.packed import Column, Layout, NotApplicable, Packed, Table, Workspace, no_moves
from games.codes import Codes, MoveIds
from games.housed import HousedGame
from solver.fixed import FixedPlay

NAME = "hashed"
TITLE = "hash without keys, slots shared"

MOST_BOARDS = 1_000
"""Of more no hash is looked for: it would take minutes."""
LENGTHS = (8, 12, 18)
"""Of words, for which hashes are looked for."""


@lru_cache(maxsize=8)
def lay_out(play: FixedPlay) -> Table:
    """The shifts of all rows, then all slots."""
    if len(play.codes) > MOST_BOARDS:
        raise NotApplicable(f"no hash is looked for where there are more than {MOST_BOARDS:,} boards")
    answers = digited_answers(play)
    layouts = {layout.note: layout for layout in _layouts(answers)}
    if not layouts:
        raise NotApplicable("no hash that was tried keeps boards with different answers apart")
    boards = len(answers.numbered.numbers)
    workspace = Workspace((), 1, 3 + turning_words(play.reading))
    return Table(NAME, play.reading, boards, tuple(layouts.values()), workspace)


def _layouts(answers: Digited) -> list[Layout]:
    return [
        _layout(answers, said, rows)
        for said in answers.numbered.said()
        if said.bits
        for rows in overlaid(answers.digits, said.values, LENGTHS)
    ]


def _layout(answers: Digited, said: Said, rows: Overlaid) -> Layout:
    hash_ = rows.hash
    known = {
        "by place": int(said.by_place),
        "hash bits": hash_.bits,
        "row bits": hash_.row_bits,
        "column bits": hash_.column_bits,
        "hashes": len(hash_.shifts),
        **{f"shift {place}": shift for place, (shift, _) in enumerate(hash_.shifts)},
        **{f"sign {place}": sign for place, (_, sign) in enumerate(hash_.shifts)},
        **base_constants(answers.bases),
    }
    hashes = "one hash" if len(hash_.shifts) == 1 else "two hashes"
    note = f"{hashes} of {hash_.bits} bits, {len(rows.slots):,} slots, {said.note}"
    shifts = Column(int(rows.shifted.max()).bit_length(), rows.shifted.astype(np.uint64))
    return Layout(note, (shifts, Column(said.bits, rows.slots.astype(np.uint64))), known)


def hash_in(packed: Packed) -> Hash:
    """The hash of a packed table."""
    known = packed.constants
    shifts = tuple((known[f"shift {place}"], known[f"sign {place}"]) for place in range(known["hashes"]))
    return Hash(shifts, known["hash bits"], known["row bits"], known["column bits"])


def decode(packed: Packed, game: HousedGame, codes: Codes) -> MoveIds:
    """The slot of each board."""
    known, numbering, (_, total) = packed.constants, numberings(game)[0], packed.columns[1]

    def look_up(boards: Codes) -> MoveIds:
        rows, columns = hash_in(packed).of(digits_of(numbering(boards), bases_in(known)))
        places = packed.read(0, rows.astype(np.intp)).astype(np.intp) + columns
        there = np.flatnonzero(places < total)
        moves = no_moves(len(boards))
        said = Said(bool(known["by place"]), packed.read(1, places[there]))
        moves[there] = said.on(game.fair, boards[there])
        return moves

    return looked_up(game.fair, packed.reading, codes, look_up)


def decoder(setting: Setting, ground: Ground, packed: Packed) -> Answering:
    """The program's hash, and its two look-ups."""
    return Hashed(setting, ground, packed, hash_in(packed))
