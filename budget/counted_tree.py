"""A reply tree whose answers say how many branches follow, so that a program passes over branches by counting.

Each answer has a label, which tells it from those to the visitor's other moves at the same point.  Plain, that is the
visitor's move.  Turned, moves are called otherwise on the next image; there it is the end of the number of the image
that has come about, in as few bits as tell the images apart to which one image can lead.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import ClassVar, NamedTuple

import numpy as np

from budget.boards import Numbering, numbered_answers, numberings, playable_moves
from budget.lines import Lines
from budget.packed import Column, Layout, NotApplicable, Packed
from budget.packing import Unreadable, bits_for
from games.codes import Codes
from games.housed import HousedGame
from solver.fixed import TURNED, FixedPlay


class Answer(NamedTuple):
    """One answer: the visitor's move that leads to it, its board, the machine's move, and how many branches follow.

    via: the count of moves where none has led to it: at the start, and where a turn was lost; before: the place of the
    answer that it follows, -1 for none.
    """

    via: int
    board: int
    before: int
    move: int
    branches: int


@dataclass(frozen=True, slots=True)
class ByMove:
    """The visitor's move as a label, less the count of moves, as a program keeps it."""

    total: int
    bits: int
    said: ClassVar[str] = "its visitor's move"
    said_of_all: ClassVar[str] = "the visitor's moves"

    def of(self, moves: Codes, boards: Codes) -> Codes:
        """The labels of answers."""
        return moves - np.uint64(self.total) & np.uint64((1 << self.bits) - 1)


@dataclass(frozen=True, slots=True)
class ByBoard:
    """The lowest bits of the number of the board as a label."""

    numbering: Numbering
    bits: int
    said: ClassVar[str] = "the end of its board's number"
    said_of_all: ClassVar[str] = "the ends of all boards' numbers"

    def of(self, moves: Codes, boards: Codes) -> Codes:
        """The labels of answers."""
        return self.numbering(boards) & np.uint64((1 << self.bits) - 1)


Labels = ByMove | ByBoard


def counted_layouts(play: FixedPlay, lines: Lines, answers: Mapping[int, int], along: str) -> list[Layout]:
    """The layouts with counts, if there is such a tree.

    answers: the machine's move on each board; along: how many answers there are, in words.
    """
    count = playable_moves(play.game.fair)
    tree = _tree(lines, answers, count, is_merged=play.reading == TURNED)
    if tree is None:
        return []
    if play.reading != TURNED:
        return _layouts(tree, ByMove(count, bits_for(count + 1)), 0, along)
    try:
        taken = numbered_answers(play).numbering
    except NotApplicable:
        return []
    return _layouts(tree, _by_board(tree, numberings(play.game)[taken]), taken, along)


def _by_board(tree: Sequence[Answer], numbering: Numbering) -> ByBoard:
    """As few bits as tell apart what follows the same answer."""
    before = [each.before for each in tree]
    for bits in range(numbering.bits):
        labels = ByBoard(numbering, bits)
        if len(set(zip(before, _labels_in(tree, labels).tolist(), strict=True))) == len(tree):
            return labels
    return ByBoard(numbering, numbering.bits)


def _labels_in(tree: Sequence[Answer], labels: Labels) -> Codes:
    moves, boards = (np.array([each[part] for each in tree], dtype=np.uint64) for part in range(2))
    return labels.of(moves, boards)


def _layouts(tree: Sequence[Answer], labels: Labels, numbering: int, along: str) -> list[Layout]:
    """The parts of all answers in one number, or in two or three tables."""
    label, label_bits = _labels_in(tree, labels), labels.bits
    moves = np.array([each.move for each in tree], dtype=np.uint64)
    branches = np.array([each.branches for each in tree], dtype=np.uint64)
    move, more = int(moves.max()).bit_length(), int(branches.max()).bit_length()
    known = {
        "counted": 1,
        "label": label_bits,
        "move": move,
        "most": int(branches.max()),
        "numbering": numbering,
    }
    first = label | moves << np.uint64(label_bits)
    whole = Column(label_bits + move + more, first | branches << np.uint64(label_bits + move))
    counts = Column(more, branches)
    return [
        Layout(f"{along}, each with {labels.said} and its branches", (whole,), known),
        Layout(
            f"{along}, each with {labels.said}, and then all branches",
            (Column(label_bits + move, first), counts),
            known,
        ),
        Layout(
            f"{along}, {labels.said_of_all} first, then the answers, then all branches",
            (Column(label_bits, label), Column(move, moves), counts),
            known,
        ),
    ]


def _tree(lines: Lines, answers: Mapping[int, int], count: int, *, is_merged: bool) -> list[Answer] | None:
    """All answers in the order of the lines; None where two moves of the visitor's come one after the other.

    is_merged: of the visitor's moves that lead to the same position only the first has a branch.
    """
    waiting = [(lines.start, count, -1)]
    tree: list[Answer] = []
    while waiting:
        code, via, before = waiting.pop()
        position = lines.at(code)
        if position.machine:
            if before >= 0:
                tree[before] = tree[before]._replace(branches=tree[before].branches + 1)
            move = answers[position.board]
            tree.append(Answer(via, position.board, before, move, 0))
            before = len(tree) - 1
            position = lines.at(position.after[position.moves.index(move)])
            if position.machine:
                return None
        elif (before >= 0 or via != count) and position.after:
            return None
        led = list(zip(position.after, position.moves, strict=True))
        if is_merged:
            led = [pair for at, pair in enumerate(led) if pair[0] not in position.after[:at]]
        for after, by in reversed(led):
            waiting.append((after, min(by, count), before))
    return tree


def read_counted(lines: Lines, packed: Packed, game: HousedGame) -> list[tuple[int, int]]:
    """The board and the move of each answer.  Raises Unreadable where the tree is none of this game's."""
    known, total = packed.constants, packed.columns[0][1]
    label, move, every = known["label"], known["move"], np.arange(total)
    fields = [packed.read(column, every) for column in range(len(packed.columns))]
    branches = fields[-1] >> np.uint64(label + move) if len(fields) == 1 else fields[-1]
    via = (fields[0] & np.uint64((1 << label) - 1)).tolist()
    beside = fields[1] if len(fields) == 3 else fields[0] >> np.uint64(label)
    moves = (beside & np.uint64((1 << move) - 1)).tolist()
    count, place = playable_moves(game.fair), 0
    labels: Labels = ByMove(count, label)
    if packed.reading == TURNED:
        labels = ByBoard(numberings(game)[known["numbering"]], label)
    found: list[tuple[int, int]] = []
    open_ = [(_labelled(lines, labels, [(count, lines.start)]), 1)]
    if not lines.at(lines.start).machine:
        open_ = [(_after(lines, labels, lines.start, count), total)]
    while place < total:
        while open_ and open_[-1][1] == 0:
            open_.pop()
        if not open_ or via[place] not in open_[-1][0]:
            raise Unreadable("an answer to no move of the visitor's")
        codes, left = open_[-1]
        open_[-1] = (codes, left - 1)
        position = lines.at(codes[via[place]])
        if moves[place] not in position.moves:
            raise Unreadable("an answer that is no move")
        found.append((position.board, moves[place]))
        after = position.after[position.moves.index(moves[place])]
        open_.append((_after(lines, labels, after, count), int(branches[place])))
        place += 1
    return found


def _after(lines: Lines, labels: Labels, code: int, count: int) -> dict[int, int]:
    """Where each move of the visitor's leads that has to be answered, by the label that it has in the tree."""
    position = lines.at(code)
    led = zip(position.moves, position.after, strict=True)
    return _labelled(lines, labels, ((min(move, count), after) for move, after in led))


def _labelled(lines: Lines, labels: Labels, led: Iterable[tuple[int, int]]) -> dict[int, int]:
    answered = [(move, code) for move, code in led if lines.at(code).machine]
    moves = np.array([move for move, _ in answered], dtype=np.uint64)
    boards = np.array([lines.at(code).board for _, code in answered], dtype=np.uint64)
    return dict(zip(labels.of(moves, boards).tolist(), (code for _, code in answered), strict=True))
