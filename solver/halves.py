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
from itertools import pairwise
from math import comb, prod
from typing import NamedTuple, cast

import numpy as np
import numpy.typing as npt

from games.codes import DRAW, FIRST, FIRST_WINS, SECOND_WINS, Codes, Indices, distinct
from games.game import Game
from games.marks.gravity import Gravity
from games.marks.marks import Marks
from solver.fillings import MOST_ACROSS, Class, Half, HalfShape
from solver.progress import Stage
from solver.run import Run
from solver.values import NO_DISTANCE, Values

GrowingGame = Marks | Gravity
"""The games that this engine knows."""
Block = npt.NDArray[np.int8]
WON = 64
NO_MOVE = 127
"""The byte of a child that is not there: worse for who might choose it than any that is."""
NEVER = -128
"""The byte of a position that cannot arise."""
COPIES = 4
"""How often the block that is worked on is there besides."""
BYTES_A_STEP = 40
"""For each cell of a half and each of its fillings: what a mark of either side leads to, and where it came from."""
WORK = Stage("working back and forth", is_last=True)
BACK, FORTH = 5, 4
"""How long the way back takes in comparison with the way forth, as measured on boards up to 5 x 5."""
Pair = tuple[Class, Class]
"""The classes of the left and the right filling: the name of a block."""


class Halves:
    """A solved game of marks: see `solver.solved.Solved`."""

    def __init__(self, game: GrowingGame, run: Run) -> None:
        self.game: Game = game
        self._marks = game
        self.start = game.start
        self.left, self.right = (Half(shape, side) for side, shape in enumerate(cut(game)))
        self._size = game.board.size
        self._blocks: dict[Pair, Block] = {}
        self._go_backward(run)
        self.counts: list[int] = self._go_forward(run)
        """How many positions can arise after each ply."""
        self.positions = sum(self.counts)

    @property
    def held(self) -> int:
        """How many bytes the result takes, but for a little."""
        return table_bytes(self._marks)

    @property
    def largest_ply(self) -> int:
        """How many positions are first reached on one ply, at most."""
        return max(self.counts)

    # The blocks of each ply ----------------------------------------------------------------------------------

    def _pairs(self, ply: int) -> list[Pair]:
        """The blocks of a ply: every way to share its marks between the halves."""
        firsts, seconds = (ply + 1) // 2, ply // 2
        pairs = ((a, (firsts - a[0], seconds - a[1])) for a in self.left.classes)
        return [pair for pair in pairs if pair[1] in self.right.classes]

    def _shape(self, pair: Pair) -> tuple[int, int]:
        return self.left.count(pair[0]), self.right.count(pair[1])

    # Backward: values ----------------------------------------------------------------------------------------

    def _go_backward(self, run: Run) -> None:
        positions = table_bytes(self._marks)
        upright: dict[Pair, Block] = {}
        for ply in range(self._size, -1, -1):
            upright = {pair: self._solve_block(pair, ply, upright) for pair in self._pairs(ply)}
            done = BACK * sum(block.size for block in self._blocks.values())
            run.tell(WORK, done, (BACK + FORTH) * positions, positions)

    def _solve_block(self, pair: Pair, ply: int, upright: dict[Pair, Block]) -> Block:
        """Solve one block from those of the next ply (`upright`: the same transposed); its own transpose."""
        player = ply % 2
        left, right = pair
        sources = self._blocks.get((_with(left, player), right)), upright.get((left, _with(right, player)))
        block = self._gathered(np.minimum, sources, pair, player, back=False)
        if block is None:
            block = np.zeros(self._shape(pair), dtype=np.int8)
        np.negative(block, out=block)
        buffer = np.sign(block)
        np.subtract(block, buffer, out=block)  # one ply farther away
        if ply:
            self._end_lines(block, buffer, pair, 1 - player)
        self._blocks[pair] = block
        return np.ascontiguousarray(block.T)

    def _gathered(
        self,
        combine: np.ufunc,
        sources: tuple[Block | None, Block | None],
        pair: Pair,
        player: int,
        *,
        back: bool,
    ) -> Block | None:
        """What one mark of a player leads to (or comes from), combined: a mark on the left, and one on the right.

        The first source holds rows by the left filling, the second by the right one; None where there is none.
        """
        upright = turned = None
        if sources[0] is not None:
            upright = _fold(combine, sources[0], self.left.steps(pair[0], player, back=back))
        if sources[1] is not None:
            turned = _fold(combine, sources[1], self.right.steps(pair[1], player, back=back))
        if turned is None:
            return upright
        from_right = np.ascontiguousarray(turned.T)
        if upright is not None:
            combine(upright, from_right, out=from_right)
        return from_right

    def _end_lines(self, block: Block, buffer: Block, pair: Pair, player: int) -> None:
        """Set the positions in which the player who has just moved owns a line; few kinds of rows have them."""
        kinds, kind_of_row = self.left.kinds(pair[0], player)
        has_line = kinds[:, None] & self.right.flags(pair[1], player) != 0
        if self._marks.misere:  # who owns the line has lost: a win for who would be next
            rows = np.where(has_line, np.int8(WON), np.int8(NEVER))
            np.maximum(block, np.take(rows, kind_of_row, axis=0, out=buffer, mode="clip"), out=block)
        else:
            rows = np.where(has_line, np.int8(-WON), np.int8(NO_MOVE))
            np.minimum(block, np.take(rows, kind_of_row, axis=0, out=buffer, mode="clip"), out=block)

    # Forward: what can arise ---------------------------------------------------------------------------------

    def _go_forward(self, run: Run) -> list[int]:
        """Mark the positions that cannot arise; how many can, by ply."""
        counts = []
        sizes = _ply_sizes(self._marks)
        positions = sum(sizes)
        reached: dict[Pair, Reached] = {}
        for ply in range(self._size + 1):
            reached = {pair: self._reach_block(pair, ply, reached) for pair in self._pairs(ply)}
            counts.append(sum(each.arise for each in reached.values()))
            done = BACK * positions + FORTH * sum(sizes[: ply + 1])
            run.tell(WORK, done, (BACK + FORTH) * positions, positions)
        return counts

    def _reach_block(self, pair: Pair, ply: int, before: "dict[Pair, Reached]") -> "Reached":
        body = self._reach_from(pair, ply, before)
        arise = int(np.count_nonzero(body))
        buffer = np.empty_like(body)
        _mark_never(self._blocks[pair], body, buffer)
        over = WON if self._marks.misere else -WON  # only a line just made is decided in no ply at all
        np.not_equal(self._blocks[pair], np.int8(over), out=buffer.view(np.bool_))
        np.bitwise_and(body, buffer, out=body)
        return Reached(_with_empty_row(body), _with_empty_row(body.T), arise)

    def _reach_from(self, pair: Pair, ply: int, before: "dict[Pair, Reached]") -> Block:
        """Which positions a mark leads to from one that can arise and is not over."""
        if ply == 0:
            return np.ones(self._shape(pair), dtype=np.int8)
        player = (ply - 1) % 2
        left, right = pair
        on_left, on_right = (
            before.get((_without(left, player), right)),
            before.get((left, _without(right, player))),
        )
        sources = on_left and on_left.block, on_right and on_right.turned
        body = self._gathered(np.bitwise_or, sources, pair, player, back=True)
        assert body is not None, "some mark was put last"
        return body

    # What callers ask ----------------------------------------------------------------------------------------

    def look_up(self, codes: Codes) -> Values:
        """The values of positions that can arise; KeyError if one of them cannot."""
        first, second = self._marks.holdings(codes)
        halves = (self.left, self.right)
        ranks = [half.ranks_on(first, second) for half in halves]
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


def _fold(combine: np.ufunc, source: Block, steps: Indices) -> Block:
    """For each row the rows of `source` that its steps name, combined."""
    folded: Block = np.take(source, steps[0], axis=0)
    buffer = np.empty_like(folded)
    for rows in steps[1:]:
        np.take(source, rows, axis=0, out=buffer, mode="clip")
        combine(folded, buffer, out=folded)
    return folded


def _with_empty_row(body: Block) -> Block:
    """A copy with a row of zeros behind the last: what cannot be come from."""
    copy = np.empty((len(body) + 1, body.shape[1]), dtype=np.int8)
    copy[:-1] = body
    copy[-1] = 0
    return copy


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


def cut(game: GrowingGame) -> tuple[HalfShape, HalfShape]:
    """The two halves of a board: column after column up to the middle, and the rest.

    The more alike they are, the fewer fillings they have; only columns in which marks fall must not be cut through.
    """
    board = game.board
    cells = sorted(range(board.size), key=lambda cell: (board.where(cell)[0], -cell))
    middle = board.columns // 2 * board.rows if isinstance(game, Gravity) else board.size // 2
    return _half_shape(game, cells[:middle]), _half_shape(game, cells[middle:])


def _half_shape(game: GrowingGame, cells: list[int]) -> HalfShape:
    own = sum(1 << cell for cell in cells)
    return HalfShape(
        tuple(cells),
        game.board.rows if isinstance(game, Gravity) else 1,
        inside=tuple(line for line in game.lines if line & own == line),
        across=tuple(line & own for line in game.lines if 0 != line & own != line),
    )


def growing_game(game: Game) -> GrowingGame | None:
    """The game, if this engine can solve it: marks of one's own that are only added, and strict turns."""
    fits = type(game) in (Marks, Gravity)
    return cast(GrowingGame, game) if fits and on_cells_enough(game) else None


def on_cells_enough(game: Game) -> bool:
    """Whether both halves have cells, no more of them than fit in a table, and few enough lines across the cut."""
    marks = cast(GrowingGame, game)
    if marks.board.size >= WON or table_bytes(marks) >= 1 << 40:
        return False
    halves = cut(marks)
    return all(half.cells for half in halves) and len(halves[0].across) <= MOST_ACROSS


def table_bytes(game: GrowingGame) -> int:
    """How many bytes all blocks of a game take."""
    return sum(_ply_sizes(game))


def bytes_needed(game: GrowingGame) -> int:
    """How many bytes the engine takes at its greatest, results included.

    That is while what can arise is gone through: then the blocks of two plies are there twice more, and one of them
    some times over.  The rest is what single marks lead to in each half.
    """
    sizes = _ply_sizes(game)
    two_plies = max(one + other for one, other in pairwise(sizes))
    halves = cut(game)
    largest = [
        max(ways * comb(marks, marks // 2) for marks, ways in enumerate(_ways(half))) for half in halves
    ]
    steps = sum(
        len(_ways(half)) * sum(2**marks * ways for marks, ways in enumerate(_ways(half))) for half in halves
    )
    needed: int = sum(sizes) + 2 * two_plies + COPIES * prod(largest) + BYTES_A_STEP * steps
    return needed


def _ply_sizes(game: GrowingGame) -> list[int]:
    """How many positions the blocks of each ply hold, those that cannot arise included."""
    whole = HalfShape(
        tuple(range(game.board.size)), game.board.rows if isinstance(game, Gravity) else 1, (), ()
    )
    return [ways * comb(ply, ply // 2) for ply, ways in enumerate(_ways(whole))]


def _ways(shape: HalfShape) -> list[int]:
    """In how many ways so many cells can be held, from none to all, whoever holds them."""
    ways = [1]
    for _ in range(len(shape.cells) // shape.height):
        heights = range(shape.height + 1)
        ways = [
            sum(ways[held - height] for height in heights if 0 <= held - height < len(ways))
            for held in range(len(ways) + shape.height)
        ]
    return ways


def solve_halves(game: GrowingGame, run: Run | None = None) -> Halves:
    """Solve a game that `growing_game` lets through."""
    run = run or Run()
    run.plan(bytes_needed(game))
    return Halves(game, run)
