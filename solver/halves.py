"""Solve games in which marks are only added, millions of positions a tenth of a second, on two halves of the board.

A position is a filling of the left half and one of the right.  For each pair of classes of fillings (see
solver/fillings.py) all positions form one dense *block* of bytes, rows by the left filling and columns by the right.
A mark in the left half then gathers whole rows of another block; a mark in the right half does the same on the
transposed block; lines across the cut are found by comparing two flags.  Nothing else is ever computed for a single
position, so the work is done at the speed of copying memory.

A byte says value and distance, seen by who is to move: 0 a draw, ``WON - d`` a win in d plies, ``d - WON`` a loss.
Blocks also hold positions that cannot arise; a second pass forward marks those with `NEVER`.
"""

from collections.abc import Iterator
from math import comb
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from games.codes import DRAW, FIRST, FIRST_WINS, SECOND_WINS, Codes, Indices, distinct
from games.game import Game
from games.marks import Marks
from solver.fillings import Class, Half, HalfShape
from solver.graph import Report
from solver.values import NO_DISTANCE, Values

Block = npt.NDArray[np.int8]
WON = 64
NO_MOVE = 127
"""The byte of a child that is not there: worse for who might choose it than any that is."""
NEVER = -128
"""The byte of a position that cannot arise."""
Pair = tuple[Class, Class]
"""The classes of the left and the right filling: the name of a block."""


class Halves:
    """A solved game of marks: see `solver.solved.Solved`."""

    def __init__(self, game: Marks, report: Report | None = None) -> None:
        self.game: Game = game
        self._marks = game
        self.start = game.start
        self.left, self.right = (Half(shape, side) for side, shape in enumerate(cut(game)))
        self._size = game.board.size
        self._blocks: dict[Pair, Block] = {}
        self._go_backward(report)
        self.counts: list[int] = self._go_forward()
        """How many positions can arise after each ply."""
        self.positions = sum(self.counts)

    # The blocks of each ply ----------------------------------------------------------------------------------

    def _pairs(self, ply: int) -> list[Pair]:
        """The blocks of a ply: every way to share its marks between the halves."""
        firsts, seconds = (ply + 1) // 2, ply // 2
        pairs = ((a, (firsts - a[0], seconds - a[1])) for a in self.left.classes)
        return [pair for pair in pairs if pair[1] in self.right.classes]

    def _shape(self, pair: Pair) -> tuple[int, int]:
        return self.left.count(pair[0]), self.right.count(pair[1])

    # Backward: values ----------------------------------------------------------------------------------------

    def _go_backward(self, report: Report | None) -> None:
        upright: dict[Pair, Block] = {}
        for ply in range(self._size, -1, -1):
            upright = {pair: self._solve_block(pair, ply, upright) for pair in self._pairs(ply)}
            if report is not None:
                report(ply, sum(block.size for block in self._blocks.values()))

    def _solve_block(self, pair: Pair, ply: int, upright: dict[Pair, Block]) -> Block:
        """Solve one block from those of the next ply (`upright`: the same transposed); its own transpose."""
        player = ply % 2
        block = np.full(self._shape(pair), 0 if ply == self._size else NO_MOVE, dtype=np.int8)
        buffer = np.empty_like(block)
        if ply < self._size:
            self._least_of_children(block, buffer, pair, player, upright)
            np.negative(block, out=block)
            np.subtract(block, np.sign(block, out=buffer), out=block)  # one ply farther away
        if ply:
            self._end_lines(block, buffer, pair, 1 - player)
        self._blocks[pair] = block
        return np.ascontiguousarray(block.T)

    def _least_of_children(
        self, block: Block, buffer: Block, pair: Pair, player: int, upright: dict[Pair, Block]
    ) -> None:
        """The least byte among the children of each position: what is worst for the other side."""
        left, right = pair
        marked = (_with(left, player), right)
        if marked in self._blocks:
            _gather(
                np.minimum, block, buffer, self._blocks[marked], self.left.steps(left, player, back=False)
            )
        marked = (left, _with(right, player))
        if marked in upright:
            turned = np.full(block.shape[::-1], NO_MOVE, dtype=np.int8)
            steps = self.right.steps(right, player, back=False)
            _gather(np.minimum, turned, np.empty_like(turned), upright[marked], steps)
            np.copyto(buffer, turned.T)
            np.minimum(block, buffer, out=block)

    def _lines(self, pair: Pair, player: int) -> tuple[npt.NDArray[np.bool_], Indices]:
        """Where a player owns a line: a few kinds of rows, and which of them each row of the block is."""
        left, right = pair
        kinds, kind_of_row = self.left.kinds(left, player)
        return kinds[:, None] & self.right.flags(right, player) != 0, kind_of_row

    def _end_lines(self, block: Block, buffer: Block, pair: Pair, player: int) -> None:
        """Set the positions in which the player who has just moved owns a line."""
        kinds, kind_of_row = self._lines(pair, player)
        if self._marks.misere:  # who owns the line has lost: a win for who would be next
            rows = np.where(kinds, np.int8(WON), np.int8(NEVER))
            np.maximum(block, np.take(rows, kind_of_row, axis=0, out=buffer, mode="clip"), out=block)
        else:
            rows = np.where(kinds, np.int8(-WON), np.int8(NO_MOVE))
            np.minimum(block, np.take(rows, kind_of_row, axis=0, out=buffer, mode="clip"), out=block)

    # Forward: what can arise ---------------------------------------------------------------------------------

    def _go_forward(self) -> list[int]:
        """Mark the positions that cannot arise; how many can, by ply."""
        counts = []
        reached: dict[Pair, Reached] = {}
        for ply in range(self._size + 1):
            reached = {pair: self._reach_block(pair, ply, reached) for pair in self._pairs(ply)}
            counts.append(sum(each.arise for each in reached.values()))
        return counts

    def _reach_block(self, pair: Pair, ply: int, before: "dict[Pair, Reached]") -> "Reached":
        rows, columns = self._shape(pair)
        block = np.zeros((rows + 1, columns), dtype=np.int8)  # the last row is what cannot be reached from
        body = block[:rows]
        buffer = np.empty_like(body)
        if ply == 0:
            body[:] = 1
        else:
            self._reach_from(body, buffer, pair, ply, before)
        count = int(np.count_nonzero(body))
        _mark_never(self._blocks[pair], body, buffer)
        if ply:
            kinds, kind_of_row = self._lines(pair, (ply - 1) % 2)
            open_rows = np.where(kinds, np.int8(0), np.int8(1))
            np.bitwise_and(body, np.take(open_rows, kind_of_row, axis=0, out=buffer, mode="clip"), out=body)
        turned = np.zeros((columns + 1, rows), dtype=np.int8)
        turned[:columns] = body.T
        return Reached(block, turned, count)

    def _reach_from(
        self, body: Block, buffer: Block, pair: Pair, ply: int, before: "dict[Pair, Reached]"
    ) -> None:
        """Every position from which a mark leads here and which was not over."""
        player = (ply - 1) % 2
        left, right = pair
        source = before.get((_without(left, player), right))
        if source is not None:
            _gather(np.bitwise_or, body, buffer, source.block, self.left.steps(left, player, back=True))
        source = before.get((left, _without(right, player)))
        if source is not None:
            turned = np.zeros(body.shape[::-1], dtype=np.int8)
            steps = self.right.steps(right, player, back=True)
            _gather(np.bitwise_or, turned, np.empty_like(turned), source.turned, steps)
            np.copyto(buffer, turned.T)
            np.bitwise_or(body, buffer, out=body)

    # What callers ask ----------------------------------------------------------------------------------------

    def look_up(self, codes: Codes) -> Values:
        """The values of positions that can arise; KeyError if one of them cannot."""
        first, second = self._marks.holdings(codes)
        halves = (self.left, self.right)
        numbers = [half.numbers_of(first, second) for half in halves]
        ranks = [half.rank_of(number) for half, number in zip(halves, numbers, strict=True)]
        kinds = np.stack([_count_marks(held, half) for half in halves for held in (first, second)], axis=1)
        bytes_ = np.full(len(codes), NEVER, dtype=np.int8)
        groups, group_of = np.unique(kinds, axis=0, return_inverse=True)
        for number, group in enumerate(groups.tolist()):
            block = self._blocks.get(((group[0], group[1]), (group[2], group[3])))
            if block is not None:
                at = np.flatnonzero(group_of.reshape(-1) == number)
                bytes_[at] = block[ranks[0][at], ranks[1][at]]
        to_move = self.game.mover(codes)
        cannot = (bytes_ == NEVER) | (kinds.sum(axis=1) % 2 != to_move)
        if cannot.any():
            raise KeyError(f"position {int(codes[cannot][0]):#x} cannot arise")
        wins = np.where(bytes_ > 0, to_move, 1 - to_move)
        value = np.where(bytes_ == 0, DRAW, np.where(wins == FIRST, FIRST_WINS, SECOND_WINS)).astype(np.uint8)
        distance = np.where(bytes_ == 0, NO_DISTANCE, WON - np.abs(bytes_.astype(np.intp)))
        return Values(value, distance)

    def plies(self) -> Iterator[Codes]:
        """For each ply the positions that can arise, sorted."""
        for ply, count in enumerate(self.counts):
            if count:
                yield distinct(np.concatenate([self._codes(pair, ply % 2) for pair in self._pairs(ply)]))

    def _codes(self, pair: Pair, mover: int) -> Codes:
        """The positions of a block that can arise."""
        row, column = np.nonzero(self._blocks[pair] != NEVER)
        held = zip(self.left.holdings(pair[0]), self.right.holdings(pair[1]), strict=True)
        first, second = (one[row] | other[column] for one, other in held)
        return self._marks.codes_of(first, second, mover)


class Reached(NamedTuple):
    """Which positions of a block can be gone on from, upright and turned, each with an empty row behind the last.

    arise: how many positions of the block can arise, those that are over included.
    """

    block: Block
    turned: Block
    arise: int


def _with(kind: Class, player: int) -> Class:
    return (kind[0] + 1, kind[1]) if player == FIRST else (kind[0], kind[1] + 1)


def _without(kind: Class, player: int) -> Class:
    return (kind[0] - 1, kind[1]) if player == FIRST else (kind[0], kind[1] - 1)


def _gather(combine: np.ufunc, into: Block, buffer: Block, source: Block, steps: Indices) -> None:
    """Combine each row with the rows of `source` that its steps name."""
    for rows in steps:
        np.take(source, rows, axis=0, out=buffer, mode="clip")
        combine(into, buffer, out=into)


def _mark_never(block: Block, body: Block, buffer: Block) -> None:
    """Set the bytes of `block` to NEVER where `body` is 0 and not 1, without a single branch."""
    np.subtract(body, np.int8(1), out=buffer)  # 0, or every bit where the position cannot arise
    np.bitwise_xor(buffer, np.int8(NO_MOVE), out=buffer)  # 127 or -128
    np.minimum(block, buffer, out=block)


def _count_marks(held: Codes, half: Half) -> Indices:
    """How many cells of a half are held, for each position."""
    count = np.zeros(len(held), dtype=np.intp)
    for cell in half.shape.cells:
        count += (held >> np.uint64(cell) & np.uint64(1)).astype(np.intp)
    return count


def cut(game: Marks) -> tuple[HalfShape, HalfShape]:
    """The two halves of a board: its left columns, and the others."""
    board = game.board
    middle = board.columns // 2
    shapes = []
    for begin, end in ((0, middle), (middle, board.columns)):
        columns = [
            [board.cell(c, r) for r in range(board.rows - 1, -1, -1) if board.has(c, r)]
            for c in range(begin, end)
        ]
        cells = tuple(cell for column in columns for cell in column)
        place = {cell: number for number, cell in enumerate(cells)}
        parts = [
            tuple(place[c] for c in range(board.size) if line >> c & 1 and c in place) for line in game.lines
        ]
        whole = [line.bit_count() for line in game.lines]
        inside = tuple(part for part, length in zip(parts, whole, strict=True) if len(part) == length)
        across = tuple(part for part, length in zip(parts, whole, strict=True) if 0 < len(part) < length)
        shapes.append(
            HalfShape(
                cells, tuple(tuple(place[c] for c in column) for column in columns), inside, across, False
            )
        )
    return shapes[0], shapes[1]


def marks_game(game: Game) -> Marks | None:
    """The game, if this engine can solve it: marks of one's own that are only added, and strict turns."""
    return game if type(game) is Marks else None


def table_bytes(game: Marks) -> int:
    """How many bytes all blocks of a game take: what the engine will need, but for a little."""
    size = game.board.size
    return sum(comb(size, ply) * comb(ply, ply // 2) for ply in range(size + 1))


def solve_halves(game: Marks, report: Report | None = None) -> Halves:
    """Solve a game of marks that are only added, with strict turns (no house rules)."""
    return Halves(game, report)
