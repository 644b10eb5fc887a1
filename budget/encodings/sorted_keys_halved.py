"""Sorted keys that are searched by halving: the words of `sorted_keys`, and a program that finds its key in few steps.

Each step halves what is left of the keys: of n about log2(n) are looked at instead of half of all.  The program takes
more words.

Bits: boards x (k + m), as sorted keys.  Common practice.

Workspace: the key that is sought; where what is left begins, how long it is, and half of that.
"""

from budget.encodings import sorted_keys
from budget.encodings.sorted_keys import decode
from budget.lowering.answering import Answering
from budget.lowering.answering.table_halved import Halved
from budget.lowering.ground import Ground, Setting
from budget.packed import Packed, Table
from solver.fixed import FixedPlay

__all__ = ["NAME", "TITLE", "decode", "decoder", "lay_out"]

NAME = "sorted-keys-halved"
TITLE = "sorted keys, searched by halving"


def lay_out(play: FixedPlay) -> Table:
    """Each board's key and move."""
    table = sorted_keys.lay_out(play)
    workspace = table.workspace._replace(words=table.workspace.words + 2)
    return table._replace(encoding=NAME, workspace=workspace)


def decoder(setting: Setting, ground: Ground, packed: Packed) -> Answering:
    """The program's search."""
    return Halved(setting, ground, packed)
