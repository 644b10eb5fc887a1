"""A reply tree whose answers say how many branches follow, so that a program passes over branches by counting."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np

from budget.lines import Lines
from budget.packed import Column, Layout, Packed
from budget.packing import Unreadable, bits_for
from games.codes import Codes


class Answer(NamedTuple):
    """One answer: the visitor's move that leads to it, the machine's, and how many branches follow.

    via: the count of moves where none has led to it: at the start, and where a turn was lost.
    """

    via: int
    move: int
    branches: int


def counted_layouts(lines: Lines, answers: Mapping[int, int], count: int, along: str) -> list[Layout]:
    """The layouts with counts, if there is such a tree.

    answers: the machine's move on each board; count: of moves that can be made; along: how many answers there are, in
    words.
    """
    tree = _tree(lines, answers, count)
    if tree is None:
        return []
    label = bits_for(count + 1)
    parts = np.array(tree, dtype=np.int64)
    via, moves, branches = (parts[:, place].astype(np.uint64) for place in range(3))
    via = labels_of(via, label, count)
    move, more = int(moves.max()).bit_length(), int(branches.max()).bit_length()
    known = {"counted": 1, "moves": count, "label": label, "move": move, "most": int(branches.max())}
    first = via | moves << np.uint64(label)
    whole = Column(label + move + more, first | branches << np.uint64(label + move))
    counts = Column(more, branches)
    return [
        Layout(f"{along}, each with its visitor's move and its branches", (whole,), known),
        Layout(
            f"{along}, each with its visitor's move, and then all branches",
            (Column(label + move, first), counts),
            known,
        ),
        Layout(
            f"{along}, the visitor's moves first, then the answers, then all branches",
            (Column(label, via), Column(move, moves), counts),
            known,
        ),
    ]


def labels_of(moves: Codes, label: int, count: int) -> Codes:
    """Moves as a tree of so many bits a label says them: less their count, as a program keeps them."""
    return moves - np.uint64(count) & np.uint64((1 << label) - 1)


def _tree(lines: Lines, answers: Mapping[int, int], count: int) -> list[Answer] | None:
    """All answers in the order of the lines; None where two moves of the visitor's come one after the other."""
    waiting = [(lines.start, count, -1)]
    tree: list[Answer] = []
    while waiting:
        code, via, before = waiting.pop()
        position = lines.at(code)
        if position.machine:
            if before >= 0:
                tree[before] = tree[before]._replace(branches=tree[before].branches + 1)
            before, move = len(tree), answers[position.board]
            tree.append(Answer(via, move, 0))
            position = lines.at(position.after[position.moves.index(move)])
            if position.machine:
                return None
        elif (before >= 0 or via != count) and position.after:
            return None
        for after, by in reversed(list(zip(position.after, position.moves, strict=True))):
            waiting.append((after, min(by, count), before))
    return tree


def read_counted(lines: Lines, packed: Packed) -> list[tuple[int, int]]:
    """The board and the move of each answer.  Raises Unreadable where the tree is none of this game's."""
    known, total = packed.constants, packed.columns[0][1]
    label, move, every = known["label"], known["move"], np.arange(total)
    fields = [packed.read(column, every) for column in range(len(packed.columns))]
    branches = fields[-1] >> np.uint64(label + move) if len(fields) == 1 else fields[-1]
    via = (fields[0] & np.uint64((1 << label) - 1)).tolist()
    beside = fields[1] if len(fields) == 3 else fields[0] >> np.uint64(label)
    moves = (beside & np.uint64((1 << move) - 1)).tolist()
    count, place = known["moves"], 0
    found: list[tuple[int, int]] = []
    start = lines.at(lines.start)
    open_: list[tuple[dict[int, int], int]] = [({0: lines.start}, 1)] if start.machine else []
    if not start.machine:
        open_ = [(_after(lines, lines.start, label, count), total)]
    while place < total:
        while open_ and open_[-1][1] == 0:
            open_.pop()
        if not open_ or via[place] not in open_[-1][0]:
            raise Unreadable("an answer to no move of the visitor's")
        codes, left = open_[-1]
        open_[-1] = (codes, left - 1)
        position = lines.at(codes[via[place]])
        if not position.machine or moves[place] not in position.moves:
            raise Unreadable("an answer that is no move")
        found.append((position.board, moves[place]))
        after = position.after[position.moves.index(moves[place])]
        open_.append((_after(lines, after, label, count), int(branches[place])))
        place += 1
    return found


def _after(lines: Lines, code: int, label: int, count: int) -> dict[int, int]:
    """Where each move of the visitor's leads, by the label that it has in the tree."""
    position = lines.at(code)
    moves = np.minimum(np.array(position.moves, dtype=np.uint64), np.uint64(count))
    return dict(zip(labels_of(moves, label, count).tolist(), position.after, strict=True))
