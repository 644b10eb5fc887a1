"""*Complete a line* and *block a line*."""

from budget.lowering.answering import Answering
from budget.lowering.answering.asked import Asked
from budget.lowering.ground import MACHINE, VISITOR, Ground, Setting
from budget.lowering.grounds.gravity import GravityGround
from budget.lowering.looking import LineGround, looked_at, seek
from solver.meanings import MINE, FillsALine


def answering(asked: Asked, setting: Setting, ground: Ground) -> Answering | None:  # noqa: ARG001
    """The way for these two rules."""
    meaning = asked.meaning
    if not isinstance(meaning, FillsALine) or isinstance(ground, GravityGround):
        return None
    return _Fills(looked_at(ground), meaning.whose)


class _Fills:
    """The first free cell that would fill a line for a side."""

    def __init__(self, ground: LineGround, whose: str) -> None:
        self._ground = ground
        self._who = MACHINE if whose == MINE else VISITOR

    def answer(self, found: str) -> None:
        """Try each free cell."""
        self._ground.text.remark("complete a line" if self._who == MACHINE else "block a line")
        seek(self._ground, self._ground.fills(self._who), found)
