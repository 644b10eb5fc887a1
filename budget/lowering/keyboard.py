"""Characters as a program has them once it has read them: the code, and above its bits the case it was typed in."""

from collections.abc import Sequence

from budget.lowering.text import NotLowered, Text
from budget.machine.channel import return_code


class Keyboard:
    """Writes the reading of one character; `values` says what a program then has in A and in the word `key`.

    Where a code has several cases, shift characters are read over, and the case stays what it was from one input to the
    next; when the machine is started it is the first.  Where names have letters, small ones become capitals.
    """

    def __init__(self, text: Text, names: Sequence[str]) -> None:
        if text.card.characters.words_each > 1:
            raise NotLowered("characters are wider than words, and that is not written yet")
        self._text = text
        self._code = text.card.characters.code
        self._bits = text.card.characters.bits
        self.has_cases = len(self._code.cases) > 1
        small = self._code.cases[0].codes.get("a")
        capital = self._code.cases[0].codes.get("A")
        has_letters = any(sign.isalpha() for name in names for sign in name)
        self._fold = None if small is None or capital is None or not has_letters else (small, capital)
        self.return_key = return_code(self._code)

    def set_up(self) -> None:
        """What is done once, when the machine is started."""
        if self.has_cases:
            self._text.number(0)
            self._text.op(
                "store", self._text.variable("case", remark="of the keyboard, times the codes of a case")
            )

    def get(self) -> None:
        """A, and the word `key` where there are cases, become the next character."""
        if self.has_cases or self._fold:
            self._text.routine("get", self._write_get)
        else:
            self._text.op("input")

    @property
    def is_plain(self) -> bool:
        """Whether A is just what came in."""
        return not (self.has_cases or self._fold)

    def values(self, sign: str) -> tuple[int, ...]:
        """What A can be after a character was typed: one number, or more where several keys print the same sign."""
        values = set()
        for number, case in enumerate(self._code.cases):
            letter = sign.upper() if sign.upper() in case.codes else sign
            if letter in case.codes:
                values.add(case.codes[letter] + (number << self._bits))
        return tuple(sorted(values))

    def is_return(self, label: str) -> None:
        """Go on at a label if A is what the Return key sends, whatever the case; A is lost."""
        self._text.jump_if(self.return_key, label)
        if self.has_cases:
            self._text.jump_if(1 << self._bits, label)  # A has lost the first case's code already

    def _write_get(self) -> None:
        """Read a character, in capitals and with its case."""
        text, key = self._text, self._text.variable("key", remark="the character read last")
        text.ops("input", f"store {key}")
        if self.has_cases:
            self._write_shifts(key)
        if self._fold:
            small, capital = self._fold
            folded = text.fresh("capital")
            text.plus(-small)
            text.op("ifminus", folded)
            text.plus(-26)
            text.ops(f"ifminus {folded}_not", f"{folded}:", f"load {key}", "back", f"{folded}_not:")
            text.plus(26 + capital)
            text.op("store", key)
        text.op("back")

    def _write_shifts(self, key: str) -> None:
        text = self._text
        labels = [text.fresh("shift") for _ in self._code.cases]
        done, gone = text.fresh("in_case"), 0
        for case, label in zip(self._code.cases, labels, strict=True):
            assert case.shift is not None, "a code with several cases has a shift for each"
            text.plus(gone - case.shift)
            text.op("ifzero", label)
            gone = case.shift
        text.op("jump", done)
        for number, label in enumerate(labels):
            text.label(label)
            text.number(number << self._bits)
            text.ops("store case", "jump get")
        text.ops(f"{done}:", f"load {key}", "add case", f"store {key}")
