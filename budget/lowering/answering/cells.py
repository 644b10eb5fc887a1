"""Cells that are taken in order: *take the first free of ...*, *take a corner*, *take any free cell*.

Only the order of cells that the play takes matters, and only where a later one is free before it: so a list may be as
good as a walk over the board in equal steps.
"""

from collections.abc import Sequence

from budget.lowering.answering import Answering
from budget.lowering.answering.asked import Asked, free_cells
from budget.lowering.ground import Ground, Setting
from budget.lowering.grounds.gravity import GravityGround
from budget.lowering.text import NotLowered
from games.codes import Codes
from games.game import with_lines
from games.marks.marks import Marks
from solver.meanings import FirstOf

WALKED, LISTED, ONE_BY_ONE = "walked", "listed", "one-by-one"


def answering(asked: Asked, setting: Setting, ground: Ground) -> Answering | None:
    """The way for cells in order."""
    if not isinstance(asked.meaning, FirstOf) or isinstance(ground, GravityGround):
        return None
    game = with_lines(setting.game)
    if game is None or type(game) is not Marks:
        raise NotLowered("cells in order are not written yet where a move is no cell")
    return _InOrder(asked, setting, ground, free_cells(game, asked.codes))


class _InOrder:
    """The first of some cells that is free."""

    def __init__(self, asked: Asked, setting: Setting, ground: Ground, free: Codes) -> None:
        self._text = setting.text
        self._ground = ground
        self._count = setting.moves
        self._always = asked.always
        taken = set(asked.moves[asked.answers].tolist())
        assert isinstance(asked.meaning, FirstOf)
        self._cells = [cell for cell in asked.meaning.cells if cell in taken]
        self._walks = _walks(asked.moves.tolist(), free.tolist(), self._count) if asked.always else []
        ways = (ONE_BY_ONE, LISTED, *(f"{WALKED} from {first} by {step}" for first, step in self._walks))
        self._way = setting.choices.pick("cells", ways)

    def answer(self, found: str) -> None:
        """Try each in turn."""
        self._text.remark("cells in order")
        if self._way == ONE_BY_ONE:
            self._one_by_one(found)
        elif self._way == LISTED:
            self._listed(found)
        else:
            _, _, first, _, step = self._way.split()
            self._walk(int(first), int(step), found)

    def _one_by_one(self, found: str) -> None:
        text = self._text
        for place, cell in enumerate(self._cells):
            text.number(cell - self._count)
            text.op("store", "move")
            if self._always and place == len(self._cells) - 1:
                text.op("jump", found)
                return
            other = text.fresh("cell_not")
            self._ground.unless_can(other)
            text.ops(f"jump {found}", f"{other}:")

    def _listed(self, found: str) -> None:
        text, count = self._text, len(self._cells)
        table = text.table(text.fresh("cells"), [cell - self._count for cell in self._cells], "in this order")
        at, again, other = text.variable("cell_at"), text.fresh("cell"), text.fresh("cell_not")
        text.number(-count)
        text.ops(f"store {at}", f"{again}:", f"by {at}", f"load {table}+{count}", "store move")
        self._ground.unless_can(other)
        text.ops(f"jump {found}", f"{other}:", f"count {at}")
        text.op(*("jump", again) if self._always else ("ifnonzero", again))

    def _walk(self, first: int, step: int, found: str) -> None:
        """From cell to cell in equal steps, round the board; there is one that is free."""
        text = self._text
        again, other = text.fresh("cell"), text.fresh("cell_not")
        text.number(first - self._count)
        text.ops(f"{again}:", "store move")
        self._ground.unless_can(other)
        text.ops(f"jump {found}", f"{other}:")
        if step == 1:
            text.ops("count move", f"jump {again}")
            return
        text.op("load", "move")
        text.plus(step)
        text.op("ifminus", again)
        text.plus(-self._count)
        text.op("jump", again)


def _walks(moves: Sequence[int], free: Sequence[int], count: int) -> list[tuple[int, int]]:
    """The first cell and the step of walks round the board that find a move on each board (a set of free cells)."""
    boards = list(zip(free, moves, strict=True))
    found = []
    for first in range(count):
        for step in range(1, count):
            walk = [(first + step * number) % count for number in range(count)]
            if all(
                next((cell for cell in walk if cells >> cell & 1), None) == move for cells, move in boards
            ):
                found.append((first, step))
    return found
