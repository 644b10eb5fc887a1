"""Numbers of several words in a program: boards as numbers, and places in tables that are longer than a word counts.

A number lies in words, the low one first.  All but the highest are taken without a sign.
"""

from budget.lowering.text import Text


class Wide:
    """A number from 0 to `most` in a program; `signed`: with room for a sign, so that it can be tested."""

    def __init__(self, text: Text, name: str, most: int, *, signed: bool = False) -> None:
        self._text = text
        self.most = most
        self.signed = signed
        self.count = max(1, -(-(most.bit_length() + signed) // text.word_bits))
        name = name if self.count == 1 else f"{name}_in_{self.count}"
        text.variable(name, self.count)
        self.words = [name if self.count == 1 else f"{name}+{word}" for word in range(self.count)]

    def clear(self) -> None:
        """Make it 0."""
        self._text.number(0)
        for word in self.words:
            self._text.op("store", word)

    def become(self, other: "Wide") -> None:
        """Make it what another is."""
        for word, others in zip(self.words, other.words, strict=True):
            self._text.ops(f"load {others}", f"store {word}")

    def up(self) -> None:
        """Add 1."""
        text = self._text
        if self.count == 1:
            text.op("count", self.words[0])
            return
        done = text.fresh("up")
        for place, word in enumerate(self.words):
            text.op("count", word)
            if place < self.count - 1:
                text.op("ifnonzero", done)
        text.label(done)

    def add(self, other: "Wide") -> None:
        """Add another, which has as many words."""
        for place, word in enumerate(self.words):
            self._carry_into(place, f"add {other.words[place]}")
            self._text.op("store", word)

    def minus(self, amount: int) -> None:
        """Take a number away that never changes; where it can fall below 0, A has its sign afterwards."""
        if not amount:
            return
        text, bits = self._text, self._text.word_bits
        for place in range(self.count):
            part = amount >> place * bits & (1 << bits) - 1
            if place == 0:
                text.op("load", self.words[0])
                text.plus(-part)
                if part == 0 and self.count > 1:  # no carry came out, and nothing was borrowed
                    text.op("subtract", "=0")
            else:
                self._carry_into(place, str(-part - 1))
            text.op("store", self.words[place])

    def _carry_into(self, place: int, step: str) -> None:
        """A becomes a word with the carry of the words below it, and what `step` adds: an order, or a number.

        The carry that this leaves is right as long as words follow.
        """
        text, word = self._text, self.words[place]
        if place == 0:
            text.ops(f"load {word}", step)
            return
        text.ops("carry", f"add {word}")
        if place < self.count - 1:
            text.op("store", word)
            text.op("carry")
            text.op("store", text.variable("carried"))
            text.op("load", word)
        self._step(step)
        if (
            place < self.count - 1
        ):  # of the two carries at most one is 1: all ones and that one make a carry again
            text.op("store", word)
            text.ops("carry", "add carried")
            text.plus(-1)
            text.op("load", word)

    def _step(self, step: str) -> None:
        if " " in step:
            self._text.op(*step.split(" ", 1))
        else:
            self._text.plus(int(step))

    def index(self, table: str) -> None:
        """A becomes a word of a table, this number from its begin on; the number is lost."""
        text, half = self._text, 1 << self._text.word_bits - 1
        if self.count == 1:
            text.op("load", self.words[0])
            if self.most < half:
                text.op("look", table)
            else:
                text.plus(-half)
                text.op("look", f"{table}+{half}")
            return
        beyond = 0
        for place, word in enumerate(self.words[:-1]):
            text.op("load", word)
            text.plus(half)
            text.op("store", word)
            beyond += half << place * text.word_bits
        for word in reversed(self.words[1:]):
            text.ops(f"by {word}", "high")
        text.ops(f"by {self.words[0]}", f"load {table}+{beyond}")
