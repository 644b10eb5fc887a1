"""Score weights in a program: each free cell is weighed, and the first of the heaviest is the move."""

from budget.lowering.answering.table_words import Stored
from budget.lowering.ground import MACHINE, Ground, Setting
from budget.lowering.grounds.sums import SumsGround
from budget.lowering.text import WrongWay
from budget.lowering.wide import Wide
from budget.packed import Packed
from games.game import with_lines
from solver.sheet.weights import diagonal_lines


class Scored:
    """The free cell with the highest score."""

    def __init__(self, setting: Setting, ground: Ground, packed: Packed) -> None:
        if not isinstance(ground, SumsGround):
            raise WrongWay("cells are not weighed on a board that is kept in this way")
        self._text, self._ground, self._packed = setting.text, ground, packed
        game = with_lines(setting.game)
        assert game is not None, "there are weights only where there are lines"
        self._apart = diagonal_lines(game) if packed.constants["kinds"] == 2 else ()
        self._lines = game.lines
        most = sum((1 << bits) - 1 for bits, _ in packed.columns[:1])
        most += len(self._lines) * ((1 << packed.columns[1][0]) - 1)
        self._text.needs(-most - 1, most + 1, "what cells may score")

    def answer(self, found: str) -> None:
        """Weigh each free cell."""
        text, ground = self._text, self._ground
        again, other, heavier = text.fresh("weigh"), text.fresh("weigh_next"), text.fresh("heavier")
        best, score = text.variable("best_score"), text.variable("score")
        chosen = text.variable("heaviest", remark="the first of the cells with the highest score")
        text.remark("take the cell with the highest score")
        text.number(-1)
        text.op("store", best)
        text.number(-ground.cells)
        text.ops("store move", f"{again}:")
        ground.unless_can(other)
        text.op("load", "move")
        text.plus(ground.cells)
        self._fetch(0, "by_cell", "what cells weigh by their place")
        text.op("store", score)
        ground.block()
        self._weigh_lines(score)
        ground.undo(MACHINE)
        text.ops(f"load {best}", f"subtract {score}", f"ifminus {heavier}", f"jump {other}", f"{heavier}:")
        text.ops(f"load {score}", f"store {best}", "load move", f"store {chosen}")
        text.ops(f"{other}:", "count move", f"ifnonzero {again}", f"load {chosen}", "store move")
        text.op("jump", found)

    def _weigh_lines(self, score: str) -> None:
        """Add to the score what the lines through the cell with the marker weigh."""
        text, ground = self._text, self._ground
        each, other = text.fresh("through"), text.fresh("through_next")
        ground.begin_lines()
        text.label(each)
        text.number(-ground.marker)  # below 0 unless the line goes through the cell
        ground.sum_line()
        text.op("ifminus", other)
        if self._apart:
            held, span = text.variable("held"), self._packed.columns[1][1] // 2
            text.op("store", held)
            begins = [span if line in self._apart else 0 for line in self._lines]
            ground.look_by_line("begins", begins, "for each line where its weights begin")
            text.op("add", held)
        self._fetch(1, "by_content", "what lines weigh by what they hold")
        text.ops(f"add {score}", f"store {score}", f"{other}:")
        ground.next_line(each)

    def _fetch(self, column: int, name: str, remark: str) -> None:
        """A becomes the weight at A."""
        text, stored = self._text, self._stored(column, name, remark)
        place = Wide(text, "weight_at", stored.run.total - 1, signed=stored.has_several)
        text.op("store", place.words[0])
        stored.fetch(place)

    def _stored(self, column: int, name: str, remark: str) -> Stored:
        return Stored(self._text, name, self._packed, column, remark)
