"""Dominoes: a word for each cell, 1 where it is covered, and tables of all dominoes."""

from collections import defaultdict
from collections.abc import Mapping
from typing import cast

from budget.lowering.ground import LOST_TURN, MACHINE, VISITOR, Digit, Ground, Setting, by_last_mover
from budget.lowering.pairs import GOALS, STARTS, Pairs
from games.fill.domineering import UPRIGHT, Domineering, dominoes
from games.inputs import OFF_BOARD

OTHER = {MACHINE: VISITOR, VISITOR: MACHINE}


def ground(setting: Setting) -> Ground | None:
    """The ground of a game of dominoes."""
    return DominoGround(setting) if isinstance(setting.game, Domineering) else None


class DominoGround:
    """A board that dominoes cover."""

    def __init__(self, setting: Setting) -> None:
        self.text = setting.text
        game = cast(Domineering, setting.game)
        self._misere = game.misere
        self._columns, self._cells = game.board.columns, game.board.size
        self._holes = game.start
        self._way = {MACHINE: setting.seat, VISITOR: 1 - setting.seat}
        pairs = [cells for cells, _ in dominoes(game.board, game.start)]
        self._pairs = Pairs(self.text, setting.choices, self._cells, pairs, placed=False)
        self.text.variable("board", self._cells)

    def set_up(self) -> None:
        """Nothing covered but the holes."""
        text, again = self.text, self.text.fresh("clear")
        text.number(-self._cells)
        text.ops("store move", f"{again}:")
        text.number(0)
        text.ops("by move", f"store board+{self._cells}", "count move", f"ifnonzero {again}")
        holes = [cell for cell in range(self._cells) if self._holes >> cell & 1]
        if holes:
            text.number(1)
        for cell in holes:
            text.op("store", f"board+{cell}")

    def judge(self, refused: Mapping[str, str]) -> None:
        """Two cells that are no neighbours are no domino; else one of the other way, then a covered cell is refused."""
        self._pairs.find()
        self.text.ops("load move", f"ifzero {refused[OFF_BOARD]}")
        self._judge(VISITOR, refused)

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """The same for either player."""
        self._pairs.split()
        self._judge(who, defaultdict(lambda: label))

    def _judge(self, who: str, refused: Mapping[str, str]) -> None:
        text = self.text
        text.ops("load goal", "subtract source")
        self._unless_way(who, refused["not-your-way"])
        for end in ("source", "goal"):
            text.ops(f"load {end}", f"look board+{self._cells}", f"ifnonzero {refused['already-covered']}")

    def _unless_way(self, who: str, label: str) -> None:
        """With how far its cells are apart in A: go on at a label unless a domino lies as theirs do."""
        self.text.plus(-self._columns)
        self.text.op("ifnonzero" if self._way[who] == UPRIGHT else "ifzero", label)

    def play(self, who: str) -> None:
        """Both cells covered."""
        self._pairs.split()
        self._cover(1)

    def _cover(self, value: int) -> None:
        self.text.number(value)
        for end in ("source", "goal"):
            self.text.ops(f"by {end}", f"store board+{self._cells}")

    def kept(self) -> tuple[str, ...]:
        """Nothing else changes."""
        return ()

    def undo(self, who: str) -> None:
        """Both cells free again."""
        self._pairs.split()
        self._cover(0)

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """Whoever is next may have no room."""
        self._if_no_room(OTHER[who], labels)

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """Whoever is to move instead may have no room."""
        if what == LOST_TURN:
            self._if_no_room(MACHINE, labels)

    def _if_no_room(self, whose: str, labels: Mapping[str, str]) -> None:
        over = by_last_mover(whose, wins=self._misere)
        if over in labels:
            self.text.routine(f"{whose}_room", lambda: self._write_room(whose))
            self.text.op("ifzero", labels[over])

    def _write_room(self, whose: str) -> None:
        """A subroutine: A is not 0 if there is room for a domino of theirs."""
        text, pairs, no, done = (
            self.text,
            self._pairs,
            self.text.fresh("no_room"),
            self.text.fresh("room_tested"),
        )

        def test(way: str) -> None:
            pairs.load_apart(way)
            self._unless_way(whose, no)
            for ends in (STARTS, GOALS):
                pairs.load(ends, way)
                text.ops(f"look board+{self._cells}", f"ifnonzero {no}")
            text.number(1)
            text.ops(f"jump {done}", f"{no}:")
            text.number(0)
            text.label(done)

        pairs.each(test)
        text.op("back")

    def digits(self) -> tuple[Digit, ...]:
        """The cells."""
        return tuple(Digit(f"board+{cell}", 2) for cell in range(self._cells))
