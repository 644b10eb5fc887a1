"""How a program reads: an input becomes the number of a move, or is sent to the label of its class.

What is told apart is only what the house rules answer differently: where two classes have the same answer, they have
the same label, and then nothing is written to tell them apart.
"""

import re
from collections.abc import Mapping
from itertools import groupby

from budget.lowering.choices import Choices
from budget.lowering.keyboard import Keyboard
from budget.lowering.naming import Naming
from budget.lowering.text import Text
from games.inputs import EMPTY, NOT_UNDERSTOOD, OFF_BOARD, TOO_LONG, InputForm, Shape

Labels = Mapping[str, str]
"""Where each class of wrong input leads."""


class Reading:
    """Writes the reading of one input; afterwards `move` holds the move's number, less the count of moves."""

    def __init__(
        self, text: Text, keyboard: Keyboard, naming: Naming, shape: Shape, choices: Choices
    ) -> None:
        self._text = text
        self._keyboard = keyboard
        self._naming = naming
        self._shape = shape
        self._form: InputForm = shape.form
        self._choices = choices
        self._patterns = sorted({_pattern(name) for name in shape.names})

    def read(self, labels: Labels, refusing: str = "") -> None:
        """One input; falls through where it names a move.

        refusing: a table with a word for each move that is 0 only where the move can be made, if the board has one:
        then what names no move may fall through as well, where all wrong input is answered alike.
        """
        if self._form.kind == "key":
            self._read_key(labels, refusing)
        else:
            self._read_line(labels)

    def pass_over(self) -> None:
        """One input, whatever it is."""
        again = self._text.fresh("pass")
        self._text.label(again)
        self._keyboard.get()
        if self._form.kind == "line":
            done = self._text.fresh("passed")
            self._keyboard.is_return(done)
            self._text.op("jump", again)
            self._text.label(done)

    # -- by key -------------------------------------------------------------------------------

    def _read_key(self, labels: Labels, refusing: str) -> None:
        self._keyboard.get()
        if labels[OFF_BOARD] == labels[NOT_UNDERSTOOD] or not self._shape.has_off_board():
            is_one = len(set(labels.values())) == 1 and self._keyboard.is_plain
            self._naming.find_sign(labels[NOT_UNDERSTOOD], refusing if is_one else "")
            return
        unknown, known = self._text.fresh("unknown"), self._text.fresh("known")
        self._text.op("store", self._text.variable("key"))
        self._naming.find_sign(unknown)
        self._text.op("jump", known)
        self._text.label(unknown)
        self._text.op("load", "key")
        for pattern in self._patterns:
            self._leave_if(pattern[0], labels[OFF_BOARD], "key")
        self._text.op("jump", labels[NOT_UNDERSTOOD])
        self._text.label(known)

    # -- by line ------------------------------------------------------------------------------

    def _read_line(self, labels: Labels) -> None:
        text, longest = self._text, self._form.longest
        text.needs(-longest, longest, f"the length of a line of {longest}")
        line = text.variable("line", longest + self._naming.marks_end, "what was typed")
        length = text.variable("length", remark=f"of it, less {longest}; 1 where there was more")
        more, done, put = text.fresh("more"), text.fresh("typed"), text.fresh("put")
        text.number(-longest)
        text.ops(f"store {length}", f"{more}:")
        self._keyboard.get()
        text.op("store", text.variable("key"))
        self._keyboard.is_return(done)
        text.ops(f"load {length}", f"ifminus {put}")
        text.number(1)
        text.ops(f"store {length}", f"jump {more}", f"{put}:", "load key", f"by {length}")
        text.ops(f"store {line}+{longest}", f"count {length}", f"jump {more}", f"{done}:")
        self._judge_length(labels)
        unknown = labels[NOT_UNDERSTOOD]
        has_shapes = labels[OFF_BOARD] != unknown and self._shape.has_off_board()
        if has_shapes:
            unknown, known = text.fresh("unknown"), text.fresh("known")
        self._naming.find_line(unknown, longest)
        if has_shapes:
            text.op("jump", known)
            text.label(unknown)
            self._match_shapes(labels)
            text.label(known)

    def _judge_length(self, labels: Labels) -> None:
        """Send off what is too long or empty, where that is not the same as not being understood."""
        text, longest = self._text, self._form.longest
        if labels[TOO_LONG] != labels[NOT_UNDERSTOOD] or labels[OFF_BOARD] != labels[NOT_UNDERSTOOD]:
            text.op("load", "length")
            text.jump_if(1, labels[TOO_LONG])
        if labels[EMPTY] != labels[NOT_UNDERSTOOD]:
            text.op("load", "length")
            text.jump_if(-longest, labels[EMPTY])

    def _match_shapes(self, labels: Labels) -> None:
        """Go on at the label for what is off the board if the line has the shape of a name, else at the other."""
        text, longest = self._text, self._form.longest
        at = text.variable("spot", remark="a place in the line")
        text.op("load", "length")
        text.plus(longest)
        text.op("negate")
        text.op("store", text.variable("to_go", remark="characters of the line still to look at, negative"))
        for number, pattern in enumerate(self._patterns):
            other = labels[NOT_UNDERSTOOD] if number == len(self._patterns) - 1 else text.fresh("shape")
            text.number(-longest)
            text.op("store", at)
            if number:
                self._again(longest)
            for kind in pattern:
                self._pass(kind, other)
            text.ops("load to_go", f"ifzero {labels[OFF_BOARD]}", f"jump {other}")
            if number < len(self._patterns) - 1:
                text.label(other)

    def _again(self, longest: int) -> None:
        text = self._text
        text.op("load", "length")
        text.plus(longest)
        text.ops("negate", "store to_go")

    def _pass(self, kind: str, other: str) -> None:
        """Pass over one part of a name: a letter, a sign, or a run of digits of any length."""
        text, longest = self._text, self._form.longest
        ok, nxt = text.fresh("ok"), text.fresh("next")
        text.ops("load to_go", f"ifzero {other}", "by spot", f"load line+{longest}", "store key")
        self._leave_if(kind, ok, "key")
        text.ops(f"jump {other}", f"{ok}:", "count spot", "count to_go")
        if kind == "9":
            text.ops("load to_go", f"ifzero {nxt}", "by spot", f"load line+{longest}", "store key")
            self._leave_if(kind, ok, "key")
            text.label(nxt)

    def _leave_if(self, kind: str, label: str, key: str) -> None:
        """Go on at a label if the word `key` holds a digit ("9"), a letter ("a"), or just this sign."""
        text = self._text
        signs = {"9": "0123456789", "a": "abcdefghijklmnopqrstuvwxyz"}.get(kind, kind)
        values = sorted({value for sign in signs for value in self._keyboard.values(sign)})
        for first, last in _runs(values):
            text.op("load", key)
            if first == last:
                text.jump_if(first, label)
                continue
            below = text.fresh("below")
            text.plus(-first)
            text.op("ifminus", below)
            text.plus(first - last - 1)
            text.op("ifminus", label)
            text.label(below)


def _pattern(name: str) -> str:
    """The kinds of a name's parts: ``9`` for a run of digits, ``a`` for a letter, any other sign for itself."""
    return re.sub(r"[a-z]", "a", re.sub(r"\d+", "9", name.lower()))


def _runs(values: list[int]) -> list[tuple[int, int]]:
    """Numbers that follow one another, put together: the first and the last of each run."""
    runs = []
    for _, run in groupby(enumerate(values), key=lambda pair: pair[1] - pair[0]):
        members = [value for _, value in run]
        runs.append((members[0], members[-1]))
    return runs
