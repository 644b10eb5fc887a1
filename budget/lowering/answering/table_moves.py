"""From what a table says of a move to the move."""

from budget.lowering.ground import Ground, Setting


class Moves:
    """Moves as a table says them: by number, or by place among the legal ones."""

    def __init__(self, setting: Setting, ground: Ground, by_place: bool) -> None:
        self._setting = setting
        self._ground = ground
        self._by_place = by_place

    def settle(self, found: str) -> None:
        """Let the word `move` be the move that A says, and go on at a label."""
        text, count = self._setting.text, self._setting.moves
        if not self._by_place:
            text.plus(-count)
            text.ops("store move", f"jump {found}")
            return
        left, again, other = text.variable("to_pass"), text.fresh("nth"), text.fresh("other")
        text.needs(-count - 1, count, "the place of a move")
        text.op("negate")
        text.plus(-1)
        text.op("store", left, "legal moves to go, negative")
        text.number(-count)
        text.ops("store move", f"{again}:")
        self._ground.unless_can(other)
        text.ops(f"count {left}", f"ifzero {found}", f"{other}:", "count move", f"jump {again}")
