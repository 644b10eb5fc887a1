"""What cells and lines weigh, and what can be seen on the boards on which cells are weighed."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from budget.lowering.answering.asked import Asked
from budget.lowering.answering.weight_tables import Held
from budget.lowering.answering.weights_anew import Anew
from budget.lowering.answering.weights_listed import Boards, Numbers
from budget.lowering.ground import Setting
from budget.lowering.text import WrongWay
from games.game import LineGame, with_lines
from games.marks.marks import hold_a_line
from solver.meanings import CellWeight, Weight
from solver.sheet.rules import Marked
from solver.sheet.weights import cells_in, heft_of_cells


class Scale(NamedTuple):
    """What cells weigh by their place, and each line of the game by what it holds."""

    cells: tuple[int, ...]
    lines: tuple[Mapping[Held, int], ...]


def scale_of(game: LineGame, weights: Sequence[Weight]) -> Scale:
    """The weights of a sheet, added up for each cell and each line."""
    cells = [0] * game.board.size
    lines: list[dict[Held, int]] = [{} for _ in game.lines]
    for each in weights:
        if isinstance(each, CellWeight):
            for cell in cells_in(each.cells):
                cells[cell] += each.weight
        else:
            for line in each.lines:
                held = lines[game.lines.index(line)]
                held[each.mine, each.visitors] = held.get((each.mine, each.visitors), 0) + each.weight
    return Scale(tuple(cells), tuple(lines))


class Seen:
    """What can be seen on the boards on which cells are weighed."""

    def __init__(self, setting: Setting, asked: Asked, weights: Sequence[Weight]) -> None:
        game = with_lines(setting.game)
        assert game is not None
        self.game = game
        self._asked = asked
        self._view = Marked.of(game, asked.codes, setting.seat)
        self._weigh(heft_of_cells(game.board.size, weights, self._view))

    def _weigh(self, heft: Numbers) -> None:
        """Let cells weigh so much: heft is (boards, cells)."""
        self._heft, game = heft, self.game
        free = self._view.free[:, None] >> np.arange(game.board.size, dtype=np.uint64) & np.uint64(1) == 1
        self._free_heft = self._heft[free]
        self._heft[~free] = np.iinfo(np.int64).min

    def boards(self, *, are_wins_told: bool) -> Boards:
        """What other weights would have to do on them."""
        after = self._view.mine | np.uint64(1) << self._asked.moves.astype(np.uint64)
        wins = hold_a_line(after, self.game.lines).tolist() if are_wins_told else []
        sets = (self._view.mine, self._view.visitors, self._asked.moves)
        mine, visitors, moves = (tuple(each.tolist()) for each in sets)
        return Boards(self.game.board.size, tuple(self.game.lines), mine, visitors, moves, tuple(wins))

    def weigh_anew(self, anew: Anew) -> None:
        """Let cells weigh by other weights.  Raises WrongWay if these do not take the same cells."""
        lines = np.array([*self.game.lines, *anew.further], dtype=np.uint64)
        mine, visitors = (
            np.bitwise_count(each[:, None] & lines).astype(np.int64)
            for each in (self._view.mine, self._view.visitors)
        )
        laid, table = anew.laid, np.array(anew.laid.table)
        begins = np.array([laid.begins[line in anew.second] for line in range(len(lines))])
        places = begins + laid.machine * mine + laid.visitor * visitors
        weights = table[np.clip(places, 0, len(table) - 1)]  # those beyond are of lines without a free cell
        through = (lines[:, None] >> np.arange(self.game.board.size, dtype=np.uint64) & np.uint64(1)).astype(
            np.int64
        )
        self._weigh(weights @ through)
        if (self._heft.argmax(axis=1) != self._asked.moves).any():
            raise WrongWay("other weights take other cells")

    @property
    def range(self) -> tuple[int, int]:
        """The least and the greatest weight of a free cell."""
        return int(self._free_heft.min()), int(self._free_heft.max())

    @property
    def least_chosen(self) -> int:
        """The least weight of a cell that is taken."""
        return int(self._heft[np.arange(len(self._asked.moves)), self._asked.moves].min())

    def ties_matter(self) -> bool:
        """Whether, where several cells are the heaviest, the last of them is somewhere not the move."""
        last = self.game.board.size - 1 - np.argmax(self._heft[:, ::-1], axis=1)
        return bool((last != self._asked.moves).any())

    def contents(self, line: int) -> set[Held]:
        """What a line (a set of cells) with a free cell can hold."""
        cells = np.uint64(line)
        has_free = self._view.free & cells != 0
        mine = np.bitwise_count(self._view.mine[has_free] & cells).tolist()
        visitors = np.bitwise_count(self._view.visitors[has_free] & cells).tolist()
        return set(zip(mine, visitors, strict=True))

    def by_result(self) -> tuple[list[int], list[int]]:
        """What the chosen cells weigh: those that win at once, and all others."""
        chosen = self._heft[np.arange(len(self._asked.moves)), self._asked.moves]
        after = self._view.mine | np.uint64(1) << self._asked.moves.astype(np.uint64)
        won = hold_a_line(after, self.game.lines)
        return chosen[won].tolist(), chosen[~won].tolist()
