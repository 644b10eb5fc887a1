"""*Take the opposite corner*."""

from budget.lowering.answering import Answering
from budget.lowering.answering.asked import Asked
from budget.lowering.ground import VISITOR, Ground, Setting
from budget.lowering.looking import LineGround, looked_at
from solver.meanings import OppositeCorner


def answering(asked: Asked, setting: Setting, ground: Ground) -> Answering | None:
    """The way for this rule."""
    if not isinstance(asked.meaning, OppositeCorner):
        return None
    taken = set(asked.moves[asked.answers].tolist())
    pairs = [pair for pair in sorted(asked.meaning.pairs) if pair[0] in taken]
    return _Opposite(looked_at(ground), setting, pairs)


class _Opposite:
    """The first corner that is free and whose opposite the visitor holds."""

    def __init__(self, ground: LineGround, setting: Setting, pairs: list[tuple[int, int]]) -> None:
        self._ground = ground
        self._text = setting.text
        self._pairs = pairs
        self._sums = list({corner + other for corner, other in pairs})
        ways = ("one-by-one", "listed") if len(self._sums) == 1 else ("one-by-one",)
        self._way = setting.choices.pick("corners", ways)

    def answer(self, found: str) -> None:
        """Look at each pair."""
        self._text.remark("take the opposite corner")
        if self._way == "listed":
            self._listed(found)
            return
        for corner, other in self._pairs:
            unfit = self._text.fresh("corner_not")
            self._ground.unless_held(VISITOR, other, unfit)
            self._text.number(corner - self._ground.cells)
            self._text.op("store", "move")
            self._ground.unless_can(unfit)
            self._text.ops(f"jump {found}", f"{unfit}:")

    def _listed(self, found: str) -> None:
        """The same as a loop: a corner and its opposite always add up to the same."""
        text, ground, count = self._text, self._ground, len(self._pairs)
        corners = text.table("corners", [corner - ground.cells for corner, _ in self._pairs])
        at, again, unfit = text.variable("corner_at"), text.fresh("corner"), text.fresh("corner_not")
        text.number(-count)
        text.ops(f"store {at}", f"{again}:", f"by {at}", f"load {corners}+{count}", "store move")
        ground.unless_held_across(VISITOR, self._sums[0], unfit)
        ground.unless_can(unfit)
        text.ops(f"jump {found}", f"{unfit}:", f"count {at}", f"ifnonzero {again}")
