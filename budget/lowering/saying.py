"""How a program says things: characters one by one where they are said, or packed messages and a subroutine."""

import numpy as np

from budget.lowering.choices import Choices
from budget.lowering.ground import DRAWN, LOST, WON
from budget.lowering.text import NotLowered, Text
from budget.packing import as_words

OUTCOMES = {WON: "machine-wins", LOST: "visitor-wins", DRAWN: "draw"}
"""The message of each ending."""
INLINE, PACKED = "inline", "packed"
SHORT = 1
"""Codes of a unit that is never packed."""


def held_label(how: str) -> str:
    """Where it is said how the game has ended by who has the one code of that in A."""
    return f"{how}_held"


class Saying:
    """Writes what is said into a program; equal units are stored once."""

    def __init__(self, text: Text, choices: Choices) -> None:
        if text.card.characters.words_each > 1:
            raise NotLowered("characters are wider than words, and that is not written yet")
        self._text = text
        self._choices = choices
        self._fields = text.card.message_fields
        self._end = text.card.characters.code.end
        self._offsets: dict[tuple[int, ...], int] = {}
        self._words = 0

    def say(self, codes: tuple[int, ...], remark: str, *, held: str = "") -> None:
        """Print a unit; held: a label for who comes with its one code in A already."""
        if not codes:
            return
        text = self._text
        text.remark(remark)
        if len(codes) <= SHORT or self._choices.pick("messages", (PACKED, INLINE)) == INLINE:
            for code in codes:
                text.number(code)
                if held and len(codes) == 1:
                    text.label(held)
                text.op("output")
            return
        text.number(self.offset(codes, remark))
        text.routine("say", self._write_routine)

    def say_at(self) -> None:
        """Print the packed unit whose offset A holds."""
        self._text.routine("say", self._write_routine)

    def offset(self, codes: tuple[int, ...], remark: str) -> int:
        """Where a packed unit begins, as `say` expects it in A."""
        if codes not in self._offsets:
            packed = as_words(self._fields.pack(np.array([*codes, self._end], dtype=np.uint64)))
            self._offsets[codes] = self._words
            self._words += len(packed)
            if self._words > 1 << self._text.word_bits - 1:
                raise NotLowered("its messages are too long to be counted in a word")
            self._text.message(packed, remark)
        return self._offsets[codes]

    def _write_routine(self) -> None:
        text, bits, per_word = self._text, self._fields.bits, self._fields.per_word
        at = text.variable("say_at", remark="where the message goes on")
        text.ops(f"store {at}", "say_word:", f"by {at}", "load messages")
        if per_word == 1:
            text.op("store", text.variable("say_rest"))
            text.plus(-self._end)
            text.ops("ifzero said", "load say_rest", "output", f"count {at}", "jump say_word")
        else:
            rest, left = text.variable("say_rest"), text.variable("say_left")
            text.op("store", rest)
            text.number(-per_word)
            text.ops(f"store {left}", "say_next:", f"load {rest}", f"and ={(1 << bits) - 1}")
            text.plus(-self._end)
            text.op("ifzero", "said")
            text.plus(self._end)
            text.ops("output", f"load {rest}", f"right {bits}", f"store {rest}")
            text.ops(f"count {left}", "ifnonzero say_next", f"count {at}", "jump say_word")
        text.ops("said:", "back")
