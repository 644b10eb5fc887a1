"""Keys in a program that halves what is left of them: few steps, and more instructions than to go through them."""

from budget.lowering.answering.table_keys import Sought
from budget.lowering.answering.table_words import Stored
from budget.lowering.text import NotLowered
from budget.lowering.wide import Wide


class Halved(Sought):
    """The last key that is not above the board's; every board that is asked for is there, so it is the board's."""

    def _seek(self, number: Wide, keys: Stored, moves: Stored) -> None:
        """Halve what is left until one key is, and let A be what stands beside it.

        What is left begins at `key_at` and has `keys_left` keys; unless the key in the middle is above, it is the new
        begin.
        """
        text, total = self._text, keys.run.total
        several = keys.has_several or moves.has_several
        at, middle = (Wide(text, name, total - 1, signed=several) for name in ("key_at", "middle"))
        if at.count > 1:
            raise NotLowered("more keys than a word counts are not halved")
        left, half = text.variable("keys_left"), text.variable("half")
        again, below, done = text.fresh("halve"), text.fresh("below"), text.fresh("last_key")
        at.clear()
        text.number(total)
        text.ops(f"{again}:", f"store {left}", "right 1", f"ifzero {done}", f"store {half}")
        text.ops(f"add {at.words[0]}", f"store {middle.words[0]}")
        self._if_above(number, keys, middle, below)
        text.ops(f"load {middle.words[0]}", f"store {at.words[0]}")
        text.ops(f"{below}:", f"load {left}", f"subtract {half}", f"jump {again}", f"{done}:")
        self._settle(keys, moves, at)

    def _if_above(self, number: Wide, keys: Stored, place: Wide, label: str) -> None:
        """Go on at a label if the key at a place is greater than the board's."""
        text, bits, held = self._text, self._text.word_bits, self._text.variable("looked_at")
        known = text.fresh("compared")
        for part in reversed(range(self._parts)):
            rest = self._key_bits - part * bits
            idle = bits - rest if rest < bits and not self._apart else 0
            self._load_part(keys, place, part)
            if idle:
                text.op("left", idle)
            text.op("store", held)
            if part < number.count:
                text.op("load", number.words[part])
            else:
                text.number(0)
            if idle:
                text.op("left", idle)
            text.op("subtract", held)
            if part:
                equal = text.fresh("equal")
                text.ops(f"ifzero {equal}", "carry", f"jump {known}", f"{equal}:")
        text.ops("carry", f"{known}:", f"ifzero {label}")
