"""A reply tree in a C program: it keeps its place, and passes over branches (see `budget.encodings`).

Here by counting; where each answer stands in as few bits as will do, by playing them through, in one loop
(`budget.c90.tree_bits`) or by calls (`budget.c90.tree_calls`).
"""

import numpy as np

from budget.c90.answering import Answering
from budget.c90.marks import MarksBoard
from budget.c90.setting import Setting
from budget.c90.tree_bits import TreeInBits
from budget.c90.tree_calls import TreeByCalls
from budget.encodings import reply_tree
from budget.lowering.text import NotLowered
from budget.packed import NotApplicable, Table
from games.codes import FIRST
from solver.fixed import PLAIN, FixedPlay

WORD_BITS = 40
"""In which the tree is laid out, to be read back: any length will do in which a field finds room."""


COUNTED, IN_BITS, BY_CALLS = "counted", "in bits", "in bits, by calls"


def tree(setting: Setting, board: MarksBoard, play: FixedPlay) -> Answering:
    """The tree of a play in one of its three ways.  Raises NotLowered where it has none."""
    if play.reading != PLAIN:
        raise NotLowered("lines through least images are not followed in C")
    try:
        table = reply_tree.lay_out(play)
    except NotApplicable as refusal:
        raise NotLowered(str(refusal)) from None
    way = setting.choices.pick("tree", (COUNTED, IN_BITS, BY_CALLS), is_weighty=True)
    if way == IN_BITS:
        return TreeInBits(setting, board, table.pack_as(0, 8))
    if way == BY_CALLS:
        return TreeByCalls(setting, board, table.pack_as(0, 8))
    return CountedTree(setting, table)


class CountedTree(Answering):
    """Writes a tree whose answers say how many branches follow, and the way along it."""

    def __init__(self, setting: Setting, table: Table) -> None:
        counted = [place for place, each in enumerate(table.layouts) if each.constants["counted"]]
        if not counted:
            raise NotLowered("this tree cannot be followed by counting")
        packed = table.pack_as(counted[0], WORD_BITS)
        fields = packed.read(0, np.arange(packed.columns[0][1])).tolist()
        label, move = packed.constants["label"], packed.constants["move"]
        self._setting = setting
        self._text = setting.text
        count = setting.cells
        labels = [each & (1 << label) - 1 for each in fields]  # the move less the count of moves, 0 for none
        self._via = [0 if each == 0 else (each + count) % (1 << label) + 1 for each in labels]
        self._moves = [each >> label & (1 << move) - 1 for each in fields]
        self._branches = [each >> label + move for each in fields]
        if len(fields) > 60_000 or max(self._branches) > 255:
            raise NotLowered("this tree is longer than an address of 16 bits reaches")

    def set_up(self) -> None:
        """The first answer; if it is not to a move, there is none."""
        kind = "byte" if len(self._moves) < 256 else "unsigned"
        self._text.local("branch", "the next answer in the tree", kind)
        self._text.local("via", "1 more than the visitor's move; 0 for none")
        self._text.put("branch = 0;")
        if self._setting.play.game.seat == FIRST:
            self.turn_lost()

    def turn_lost(self) -> None:
        """No move."""
        self._text.put("via = 0;")

    def visitor_moves(self) -> None:
        """The move that leads to the next answer."""
        self._text.put("via = (byte)(move + 1);")

    def answer(self) -> None:
        """Pass over branches until the visitor's move is reached."""
        text = self._text
        text.local(
            "over", "branches still to be passed over", "byte" if len(self._moves) < 256 else "unsigned"
        )
        most_via, most_move, most = max(self._via), max(self._moves), max(self._branches)
        if most_via < 16 and most_move < 16:
            values = [via | move << 4 for via, move in zip(self._via, self._moves, strict=True)]
            text.table("tree", values, "16 times each answer, and 1 more than the move that leads to it")
            via, move = "(FETCH(tree + branch) & 15)", "(byte)(FETCH(tree + branch) >> 4)"
        else:
            text.table("vias", self._via, "1 more than the move that leads to each answer")
            text.table("tree", self._moves, "the answers")
            via, move = "FETCH(vias + branch)", "FETCH(tree + branch)"
        followed = self._branch_count(most)
        text.put(f"""
while ({via} != via) {{
    over = 1;
    do {{
        over += {followed};
        --over;
        ++branch;
    }} while (over != 0);
}}
move = {move};
++branch;
goto found;""")

    def _branch_count(self, most: int) -> str:
        """How many branches follow the answer at `branch`, two of these in a byte where they fit."""
        if most < 16:
            padded = [*self._branches, 0]
            pairs = [low | high << 4 for low, high in zip(padded[::2], padded[1::2], strict=False)]
            self._text.table(
                "branches", pairs, "how many branches follow, two in a byte, the lower half first"
            )
            return "(branch % 2 ? FETCH(branches + branch / 2) >> 4 : FETCH(branches + branch / 2) & 15)"
        self._text.table("branches", self._branches, "how many branches follow each answer")
        return "FETCH(branches + branch)"
