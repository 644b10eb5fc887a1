"""Score weights: the move is the free cell with the highest score, the first of them where several have it.

A cell scores what its place weighs, and for each line through it what lines weigh that hold so many marks of each side;
diagonal lines weigh apart where that is needed.  Nothing is stored of any board: the weights are found for the play, so
that on each board that it can meet the highest score is the move's.  Few plays have such weights.

Bits: one field for each cell, one for each content of a line of each kind.  With lines of *n* cells a content's place
is the marks of the machine's, and *n* + 1 times those of the visitor's, so that a program has it by adding up a line.
Ours; the search is in `budget.scoring`.

Workspace: the cell, its score, the best cell and its score, the line, what it comes to, and the place of a weight.
"""

from collections.abc import Iterator
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from budget.boards import looked_up, stored_answers, turning_words
from budget.lowering.answering import Answering
from budget.lowering.answering.table_weights import Scored
from budget.lowering.ground import Ground, Setting
from budget.packed import Column, Layout, NotApplicable, Packed, Table, Workspace, no_moves
from games.codes import Codes, Indices, MoveIds
from games.game import Game, LineGame, with_lines
from games.housed import HousedGame
from games.marks.marks import Marks
from solver.fixed import FixedPlay
from solver.sheet.rules import Marked
from solver.sheet.weights import cells_in, diagonal_lines

if TYPE_CHECKING:
    from budget.scoring import Wanted

Whole = npt.NDArray[np.int64]

NAME = "weights"
TITLE = "score weights of cells and lines"

MOST_BOARDS = 2000
"""Of more no weights are looked for: it would take minutes."""


@lru_cache(maxsize=8)
def lay_out(play: FixedPlay) -> Table:
    """The weights of cells, and those of lines; lines all alike if that will do, else diagonal ones apart."""
    from budget.scoring import Refuted, small_weights  # takes a tenth of a second to load

    game = _lined(play.game.fair)
    codes, moves = stored_answers(play)
    if game is None:
        raise NotApplicable("scores need a game of marks and lines in which moves are cells")
    if not 0 < len(codes) <= MOST_BOARDS:
        raise NotApplicable(f"no weights are looked for unless there are 1 to {MOST_BOARDS:,} boards")
    for kinds in (1, 2):
        scores = _Scores(game, codes, play.game.seat, kinds)
        try:
            found = small_weights(scores.wanted(moves.astype(np.intp)), scores.rises())
        except Refuted as refused:
            reason = str(refused)
            continue
        workspace = Workspace((), 1, 6 + turning_words(play.reading))
        return Table(NAME, play.reading, len(codes), (_layout(scores, found),), workspace)
    raise NotApplicable(reason)


def _lined(game: Game) -> LineGame | None:
    """A game whose moves are cells, and whose lines are equally long; None for others."""
    lined = with_lines(game) if type(game) is Marks else None
    lengths = set() if lined is None else {line.bit_count() for line in lined.lines}
    return lined if len(lengths) == 1 else None


class _Kinds(NamedTuple):
    """Which lines weigh apart: for each line of a game its kind; span: how many places the contents of a kind have."""

    of: tuple[int, ...]
    long: int

    @property
    def span(self) -> int:
        return (self.long - 1) * (self.long + 1) + 1


def _kinds_of(game: LineGame, kinds: int) -> _Kinds:
    apart = diagonal_lines(game) if kinds == 2 else ()
    return _Kinds(tuple(int(line in apart) for line in game.lines), game.lines[0].bit_count())


def _places(game: LineGame, kinds: _Kinds, view: Marked) -> Iterator[tuple[int, Whole]]:
    """For each line the places (n,) of what it holds on each board; they count only where a cell of it is free."""
    for line, kind in zip(game.lines, kinds.of, strict=True):
        cells = np.uint64(line)
        mine = np.bitwise_count(view.mine & cells).astype(np.int64)
        visitors = np.bitwise_count(view.visitors & cells).astype(np.int64)
        yield line, np.minimum(mine + (kinds.long + 1) * visitors, kinds.span - 1) + kind * kinds.span


class _Scores:
    """How often each weight counts for each cell of each board: `vector`, (n, cells, weights)."""

    def __init__(self, game: LineGame, codes: Codes, seat: int, kinds: int) -> None:
        self.game = game
        self.kinds = _kinds_of(game, kinds)
        self.cells = game.board.size
        view = Marked.of(game, codes, seat)
        self._free = _free(view, self.cells)
        width = self.cells + kinds * self.kinds.span
        self.vector = np.zeros((len(codes), self.cells, width), dtype=np.int64)
        self.vector[:, np.arange(self.cells), np.arange(self.cells)] = 1
        boards = np.arange(len(codes))
        for line, places in _places(game, self.kinds, view):
            for cell in cells_in(line):
                self.vector[boards, cell, self.cells + places] += self._free[:, cell]

    def wanted(self, moves: Indices) -> "Wanted":
        """What has to hold, each inequality once."""
        from budget.scoring import Wanted

        board, cell = np.nonzero(self._free)
        others = cell != moves[board]
        board, cell = board[others], cell[others]
        rows = self.vector[board, moves[board]] - self.vector[board, cell]
        least = (cell < moves[board]).astype(np.int64)
        every = np.unique(np.column_stack([rows, least]), axis=0)
        return Wanted(every[:, :-1], every[:, -1], self.cells)

    def rises(self) -> Whole:
        """For each kind of lines: one taken from what they all weigh, and made up for in the cells they go through."""
        rises = np.zeros((max(self.kinds.of) + 1, self.vector.shape[2]), dtype=np.int64)
        for kind, rise in enumerate(rises):
            begin = self.cells + kind * self.kinds.span
            rise[begin : begin + self.kinds.span] = -1
            for line, of in zip(self.game.lines, self.kinds.of, strict=True):
                if of == kind:
                    rise[cells_in(line)] += 1
        return rises


def _free(view: Marked, cells: int) -> Whole:
    return (view.free[:, None] >> np.arange(cells, dtype=np.uint64) & np.uint64(1)).astype(np.int64)


def _layout(scores: _Scores, found: Whole) -> Layout:
    cells, lines = found[: scores.cells], found[scores.cells :]
    kinds = max(scores.kinds.of) + 1
    columns = tuple(
        Column(int(values.max()).bit_length(), values.astype(np.uint64)) for values in (cells, lines)
    )
    alike = "diagonal lines apart" if kinds == 2 else "all lines alike"
    return Layout(
        f"{len(cells)} cells and {len(lines)} contents of lines, {alike}", columns, {"kinds": kinds}
    )


def decode(packed: Packed, game: HousedGame, codes: Codes) -> MoveIds:
    """The free cell with the highest score on each board."""
    lined = _lined(game.fair)
    if lined is None:
        return no_moves(len(codes))
    kinds = _kinds_of(lined, packed.constants["kinds"])
    by_cell, by_content = (
        packed.read(column, np.arange(packed.columns[column][1])).astype(np.int64) for column in (0, 1)
    )

    def look_up(boards: Codes) -> MoveIds:
        view = Marked.of(lined, boards, game.seat)
        score = np.tile(by_cell, (len(boards), 1))
        for line, places in _places(lined, kinds, view):
            score[:, cells_in(line)] += by_content[places][:, None]
        free = _free(view, lined.board.size) == 1
        score[~free] = -1
        return np.where(free.any(axis=1), np.argmax(score, axis=1), no_moves(len(boards))).astype(np.uint16)

    return looked_up(game.fair, packed.reading, codes, look_up)


def decoder(setting: Setting, ground: Ground, packed: Packed) -> Answering:
    """The program's weighing of each free cell."""
    return Scored(setting, ground, packed)
