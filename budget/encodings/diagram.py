"""A decision diagram: tests of single digits, the first of all boards, and each next one where the last leads.

A node is the digit that it looks at, and for each value of it the place of the next node, or the move.  Boards that
play cannot meet may lead anywhere: so nodes are shared, and lie over one another where they are free.  The program
has in its instructions where the first node stands.

Bits: numbers in the row x b, where b bits hold the place of any digit, node or move; a node of a digit of base d is
d + 1 numbers, less those that lie over one another.  Diagrams whose nodes are shared are those of Bryant, "Graph-based
algorithms for Boolean function manipulation", IEEE Trans. Computers C-35 (1986) 677-691 (from memory); boards that may
lead anywhere, and nodes over one another, are our own.

Workspace: the place of the node.
"""

from functools import lru_cache

import numpy as np

from budget.boards import Said, looked_up, numberings, turning_words
from budget.diagrams import placed, smallest_diagram
from budget.lowering.answering import Answering
from budget.lowering.answering.table_diagram import Walked
from budget.lowering.digits import Digited, base_constants, bases_in, digited_answers, digits_of
from budget.lowering.ground import Ground, Setting
from budget.packed import Column, Layout, NotApplicable, Packed, Table, Workspace, no_moves
from games.codes import Codes, MoveIds
from games.housed import HousedGame
from solver.fixed import FixedPlay

NAME = "diagram"
TITLE = "decision diagram of single digits"

MOST_BOARDS = 600
"""Of more no diagram is looked for: it would take minutes."""


@lru_cache(maxsize=8)
def lay_out(play: FixedPlay) -> Table:
    """All nodes in one row of numbers."""
    if len(play.codes) > MOST_BOARDS:
        raise NotApplicable(f"no diagram is looked for where there are more than {MOST_BOARDS:,} boards")
    answers = digited_answers(play)
    layouts = tuple(
        _layout(answers, said) for said in answers.numbered.said() if len(np.unique(said.values)) > 1
    )
    if not layouts:
        raise NotApplicable("the move is the same on all boards, so there is nothing to test")
    workspace = Workspace((), 1, 1 + turning_words(play.reading))
    return Table(NAME, play.reading, len(answers.numbered.numbers), layouts, workspace)


def _layout(answers: Digited, said: Said) -> Layout:
    nodes = smallest_diagram(answers.digits.astype(np.int64), said.values.astype(np.int64))
    found = placed(nodes, int(said.values.max()) + 1)
    known = {"by place": int(said.by_place), "root": found.root, "leaf": found.leaf}
    known |= base_constants(answers.bases)
    note = f"{len(nodes):,} nodes, {said.note}"
    return Layout(note, (Column(found.bits, found.numbers.astype(np.uint64)),), known)


def decode(packed: Packed, game: HousedGame, codes: Codes) -> MoveIds:
    """Where each board is led."""
    known, numbering, (_, total) = packed.constants, numberings(game)[0], packed.columns[0]
    numbers = packed.read(0, np.arange(total)).astype(np.int64)

    def look_up(boards: Codes) -> MoveIds:
        digits = digits_of(numbering(boards), bases_in(known)).astype(np.int64)
        node = np.full(len(boards), known["root"])
        for _ in range(total):  # no way through a sound diagram is longer
            inner = np.flatnonzero((node >= 0) & (node < min(known["leaf"], total)))
            if not len(inner):
                break
            looked = numbers[node[inner]]
            sound = looked < digits.shape[1]
            place = node[inner] + 1 + digits[inner, np.where(sound, looked, 0)]
            sound &= place < total
            node[inner] = np.where(sound, numbers[np.where(sound, place, 0)], -1)
        moves = no_moves(len(boards))
        there = np.flatnonzero(node >= known["leaf"])
        said = Said(bool(known["by place"]), (node[there] - known["leaf"]).astype(np.uint64))
        moves[there] = said.on(game.fair, boards[there])
        return moves

    return looked_up(game.fair, packed.reading, codes, look_up)


def decoder(setting: Setting, ground: Ground, packed: Packed) -> Answering:
    """The program's walk from node to node."""
    return Walked(setting, ground, packed)
