"""A limit of plies over any board: they are counted in a word, and a draw is told when the limit is reached."""

from collections.abc import Mapping
from typing import cast

from budget.lowering.ground import DRAWN, MACHINE, Digit, Ground, Setting, ground_for
from games.limited import LimitedGame


def ground(setting: Setting) -> Ground | None:
    """The ground of a game with a limit of plies."""
    return LimitedGround(setting) if isinstance(setting.game, LimitedGame) else None


class LimitedGround:
    """The board of the game without a limit, and a count."""

    def __init__(self, setting: Setting) -> None:
        game = cast(LimitedGame, setting.game)
        self.text = setting.text
        self._limit = game.limit
        self._board = ground_for(setting._replace(bare=game.unlimited))
        self.text.needs(-1, self._limit + 1, f"a count of {self._limit} plies")
        self._plies = self.text.variable("plies", remark="how many have been made")

    def set_up(self) -> None:
        """None has been made."""
        self.text.number(0)
        self.text.op("store", self._plies)
        self._board.set_up()

    def judge(self, refused: Mapping[str, str]) -> None:
        """As without a limit."""
        self._board.judge(refused)

    def play(self, who: str) -> None:
        """As without a limit."""
        self._board.play(who)

    def unless_can(self, label: str, who: str = MACHINE) -> None:
        """As without a limit."""
        self._board.unless_can(label, who)

    def ends(self, who: str, labels: Mapping[str, str]) -> None:
        """As without a limit; then the ply is counted."""
        self._board.ends(who, labels)
        self._count(labels)

    def after_wrong(self, what: str, labels: Mapping[str, str]) -> None:
        """The same: wrong input that changes something is a ply."""
        self._board.after_wrong(what, labels)
        self._count(labels)

    def _count(self, labels: Mapping[str, str]) -> None:
        self.text.op("count", self._plies)
        if DRAWN in labels:
            self.text.jump_if(self._limit, labels[DRAWN])

    def kept(self) -> tuple[str, ...]:
        """The count, and what the board needs."""
        return (*self._board.kept(), self._plies)

    def undo(self, who: str) -> None:
        """As without a limit."""
        self._board.undo(who)

    def digits(self) -> tuple[Digit, ...]:
        """Those of the board, and the count."""
        return (*self._board.digits(), Digit(self._plies, self._limit + 1))
