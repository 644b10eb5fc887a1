"""Sorted keys that are searched by halving: the words of `sorted_keys`, and a program that finds its key in few steps.

A table of n keys takes n times the bits of a key and a move, as sorted keys do; each step halves what is left of them,
so about log2(n) keys are looked at instead of half of all.  The program takes more instructions.  Halving is a way of
the trade, from memory.

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

NAME = "halved-keys"
TITLE = "sorted keys, searched by halving"


def lay_out(play: FixedPlay) -> Table:
    """Each board's key and move."""
    table = sorted_keys.lay_out(play)
    workspace = table.workspace._replace(words=table.workspace.words + 2)
    return table._replace(encoding=NAME, workspace=workspace)


def decoder(setting: Setting, ground: Ground, packed: Packed) -> Answering:
    """The program's search."""
    return Halved(setting, ground, packed)
