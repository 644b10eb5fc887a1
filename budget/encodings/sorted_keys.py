"""Sorted keys: the numbers of the boards that play can meet, increasing, each with its move.

A key is the number of a board.  Where it takes no more words, each move stands beside its key in one field; else all
keys come first and then all moves.  The program has in its instructions how many keys there are and how wide they are.

Bits: boards x (k + m), where k bits hold the greatest key and m any move that is stored.  Common practice.

Workspace: the key that is sought; its place in the table; the word that is looked at.
"""

import numpy as np

from budget.boards import Numbered, Said, looked_up, numbered_answers, numberings, turning_words
from budget.lowering.answering import Answering
from budget.lowering.answering.table_keys import Sought
from budget.lowering.ground import Ground, Setting
from budget.packed import Column, Layout, Packed, Table, Workspace, no_moves
from budget.packing import Unreadable
from games.codes import Codes, MoveIds
from games.housed import HousedGame
from solver.fixed import FixedPlay

NAME = "sorted-keys"
TITLE = "sorted keys, each with its move"
WIDEST = 63
"""Bits: what a field holds at most."""


def lay_out(play: FixedPlay) -> Table:
    """Each board's key and move."""
    numbered = numbered_answers(play)
    layouts = tuple(layout for said in numbered.said() for layout in _layouts(numbered, said))
    number = numberings(play.game)[numbered.numbering].bits
    workspace = Workspace((number,), 1, 1 + turning_words(play.reading))
    return Table(NAME, play.reading, len(numbered.numbers), layouts, workspace)


def _layouts(numbered: Numbered, said: Said) -> list[Layout]:
    """Moves beside their keys, if a field can be as wide, and moves behind all keys."""
    keys = numbered.numbers
    key_bits = int(keys[-1]).bit_length()
    known = {"numbering": numbered.numbering, "key bits": key_bits, "by place": int(said.by_place)}
    note = f"keys of {key_bits} bits, {said.note}"
    layouts = []
    if key_bits + said.bits <= WIDEST:
        beside = Column(key_bits + said.bits, keys | said.values << np.uint64(key_bits))
        layouts.append(Layout(f"{note} beside their keys", (beside,), known))
    if said.bits:
        apart = (Column(key_bits, keys), Column(said.bits, said.values))
        layouts.append(Layout(f"{note} behind all keys", apart, known))
    return layouts


def decode(packed: Packed, game: HousedGame, codes: Codes) -> MoveIds:
    """Search for each board's key, halving what is left.  Raises Unreadable where the words end too soon."""
    known, total = packed.constants, packed.columns[0][1]
    numbering = numberings(game)[known["numbering"]]
    fields = packed.read(0, np.arange(total))
    apart = len(packed.columns) > 1
    keys = fields if apart else fields & np.uint64((1 << known["key bits"]) - 1)
    values = packed.read(1, np.arange(total)) if apart else fields >> np.uint64(known["key bits"])
    if (keys[1:] <= keys[:-1]).any():
        raise Unreadable("the keys do not increase")

    def look_up(boards: Codes) -> MoveIds:
        wanted = numbering(boards)
        places = np.minimum(np.searchsorted(keys, wanted), total - 1)
        moves = no_moves(len(boards))
        found = np.nonzero(keys[places] == wanted)[0]
        said = Said(bool(known["by place"]), values[places[found]])
        moves[found] = said.on(game.fair, boards[found])
        return moves

    return looked_up(game.fair, packed.reading, codes, look_up)


def decoder(setting: Setting, ground: Ground, packed: Packed) -> Answering:
    """The program's search: it goes through the keys until it has the board's."""
    return Sought(setting, ground, packed)
