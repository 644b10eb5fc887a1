"""*Take the heaviest cell*: each free cell weighs what its place and the lines through it weigh.

What a line holds is one number, by which its weight is looked up.  Where not all lines weigh alike, each kind of
them has a table of its own.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from budget.lowering.answering import Answering, Endings
from budget.lowering.answering.asked import Asked
from budget.lowering.ground import DRAWN, LOST, MACHINE, VISITOR, WON, Ground, Setting
from budget.lowering.grounds.sums import SumsGround
from budget.lowering.text import WrongWay
from games.game import LineGame, with_lines
from games.marks.marks import hold_a_line
from solver.meanings import CellWeight, Heaviest, Weight
from solver.sheet.rules import Marked
from solver.sheet.weights import cells_in, heft_of_cells

Held = tuple[int, int]
"""How many marks of the machine's and of the visitor's a line holds."""


class Scale(NamedTuple):
    """What cells weigh by their place, and each line of the game by what it holds."""

    cells: tuple[int, ...]
    lines: tuple[Mapping[Held, int], ...]


def answering(asked: Asked, setting: Setting, ground: Ground) -> Answering | None:
    """The way for this rule."""
    if not isinstance(asked.meaning, Heaviest):
        return None
    game = with_lines(setting.game)
    assert game is not None
    last = not ties_matter(game, asked, setting.seat)
    weighing = Weighing(setting, ground, scale_of(game, asked.meaning.weights), takes_last=last)
    if (
        asked.always
        and setting.choices.pick("endings", ("told by the board", "told by weights")) != "told by the board"
    ):
        weighing.know_endings(asked)
    return weighing


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


def ties_matter(game: LineGame, asked: Asked, seat: int) -> bool:
    """Whether, where several cells are the heaviest, the last of them is somewhere not the move."""
    assert isinstance(asked.meaning, Heaviest)
    view = Marked.of(game, asked.codes, seat)
    heft = heft_of_cells(game.board.size, asked.meaning.weights, view)
    is_free = view.free[:, None] >> np.arange(game.board.size, dtype=np.uint64) & np.uint64(1) == 1
    heft[~is_free] = np.iinfo(np.int64).min
    last = game.board.size - 1 - np.argmax(heft[:, ::-1], axis=1)
    return bool((last != asked.moves).any())


class Weighing:
    """The first of the heaviest cells, or the last of them."""

    def __init__(self, setting: Setting, ground: Ground, scale: Scale, *, takes_last: bool = False) -> None:
        if not isinstance(ground, SumsGround):
            raise WrongWay("cells are not weighed on a board that is kept in this way")
        self._setting = setting
        self._ground = ground
        self._text = setting.text
        self._takes_last = takes_last
        self._told: set[tuple[str, str]] = set()
        self._winning = 0
        self._scale = scale
        self._tables = list(dict.fromkeys(map(self._row, scale.lines)))
        self._offsets = self._laid_out()
        ground.widen_marker(sum(map(len, self._tables)))
        self._check_range()

    def _row(self, held: Mapping[Held, int]) -> tuple[int, ...]:
        """What a line weighs by what its cells come to."""
        marks = self._ground.marks
        row = [0] * (self._ground.marks[VISITOR] * (self._ground.long - 1) + 1)
        for (mine, visitors), weight in held.items():
            row[mine * marks[MACHINE] + visitors * marks[VISITOR]] = weight
        return tuple(row)

    def _laid_out(self) -> dict[tuple[int, ...], int]:
        """Where the table of each kind of line begins."""
        begins, offsets = 0, {}
        for table in self._tables:
            offsets[table] = begins
            begins += len(table)
        return offsets

    def _check_range(self) -> None:
        """Raise NotLowered where sums and differences of weights may be too great for a word."""
        through = [
            [
                row
                for line, row in zip(self._ground.lines, map(self._row, self._scale.lines), strict=True)
                if cell in line
            ]
            for cell in range(self._ground.cells)
        ]
        most = max(
            weight + sum(max(row) for row in rows)
            for weight, rows in zip(self._scale.cells, through, strict=True)
        )
        self._least = min(
            weight + sum(min(row) for row in rows)
            for weight, rows in zip(self._scale.cells, through, strict=True)
        )
        self._text.needs(self._least - 1 - most, most - self._least + 1, "what cells may weigh")
        self._text.needs(self._least - 1, most, "what cells may weigh")

    # -- endings ------------------------------------------------------------------------------

    def know_endings(self, asked: Asked) -> None:
        """Tell endings by weights from now on: no cell was weighed on a full board, and cells that win weigh more.

        asked: every board on which the machine moves.
        """
        happens, game = self._setting.happens, with_lines(self._setting.game)
        assert game is not None
        if not {who for who, how in happens if how == DRAWN} - {VISITOR}:
            self._told |= {(VISITOR, DRAWN)} & happens
        wins, others = self._weights_by_result(game, asked)
        if (
            {(MACHINE, WON), (MACHINE, LOST)} & happens == {(MACHINE, WON)}
            and wins
            and min(wins) > max(others, default=0)
        ):
            self._told |= {(MACHINE, WON)}
            self._winning = min(wins)

    def _weights_by_result(self, game: LineGame, asked: Asked) -> tuple[list[int], list[int]]:
        """What the chosen cells weigh: those that win at once, and all others."""
        assert isinstance(asked.meaning, Heaviest)
        view = Marked.of(game, asked.codes, self._setting.seat)
        heft = heft_of_cells(game.board.size, asked.meaning.weights, view)
        chosen = heft[np.arange(len(asked.moves)), asked.moves]
        after = view.mine | np.uint64(1) << asked.moves.astype(np.uint64)
        won = hold_a_line(after, game.lines)
        return chosen[won].tolist(), chosen[~won].tolist()

    def told(self) -> Endings:
        """As in `Telling`."""
        return frozenset(self._told)

    def tell(self, labels: Mapping[str, str]) -> None:
        """As in `Telling`."""
        if WON in labels:
            self._text.number(self._winning - 1)
            self._text.ops("subtract best_weight", f"ifminus {labels[WON]}")

    # -- weighing -----------------------------------------------------------------------------

    def answer(self, found: str) -> None:
        """Weigh each free cell."""
        text, ground = self._text, self._ground
        again, other = text.fresh("weigh"), text.fresh("weigh_next")
        best, weight = text.variable("best_weight"), text.variable("weight")
        text.remark("take the heaviest cell")
        is_full_told = (VISITOR, DRAWN) in self._told
        text.number(self._least if self._takes_last and not is_full_told else self._least - 1)
        text.op("store", best)
        text.number(-ground.cells)
        text.ops("store move", f"{again}:")
        ground.unless_can(other)
        ground.block()
        self._weigh_place()
        text.op("store", weight)
        self._weigh_lines()
        ground.undo(MACHINE)
        self._compare(other)
        text.ops(f"load {weight}", f"store {best}", "load move")
        text.op("store", text.variable("heaviest"))
        text.ops(f"{other}:", "count move", f"ifnonzero {again}")
        if is_full_told:
            text.op("load", best)
            text.jump_if(self._least - 1, DRAWN)
        text.ops("load heaviest", "store move")

    def _compare(self, other: str) -> None:
        """Go on at a label unless the cell is heavier than those before, or as heavy where the last is taken."""
        text = self._text
        if self._takes_last:
            text.ops("load weight", "subtract best_weight", f"ifminus {other}")
            return
        heavier = text.fresh("heavier")
        text.ops("load best_weight", "subtract weight", f"ifminus {heavier}", f"jump {other}", f"{heavier}:")

    def _weigh_place(self) -> None:
        """A becomes what the cell weighs by its place."""
        text, cells = self._text, self._scale.cells
        if len(set(cells)) == 1:
            text.number(cells[0])
            return
        table = text.table(text.fresh("places"), cells, "what cells weigh by their place")
        text.ops("by move", f"load {table}+{len(cells)}")

    def _weigh_lines(self) -> None:
        """Add to the word `weight` what the lines through the cell with the marker weigh."""
        text, ground = self._text, self._ground
        table = text.table(text.fresh("weights"), [each for row in self._tables for each in row])
        each, other = text.fresh("through"), text.fresh("through_next")
        ground.begin_lines()
        text.label(each)
        self._load_start()
        ground.sum_line()
        text.ops(f"ifminus {other}", f"look {table}", "add weight", "store weight", f"{other}:")
        ground.next_line(each)

    def _load_start(self) -> None:
        """What a line's sum begins with: below 0 unless it goes through the cell, else a place in the table."""
        text, ground = self._text, self._ground
        if len(self._tables) == 1:
            text.number(-ground.marker)
            return
        starts = [self._offsets[self._row(held)] - ground.marker for held in self._scale.lines]
        ground.look_by_line("starts", starts, "for each line where its weights begin")
