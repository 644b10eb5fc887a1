"""How a C program reads: an input becomes the number of a move, or is sent to the label of its class.

As in our own programs, only what the house rules answer differently is told apart.
"""

import re
from collections.abc import Mapping

from budget.c90.saying import Names
from budget.c90.setting import Setting
from budget.c90.text import character
from budget.machine.channel import return_code
from games.inputs import EMPTY, NOT_UNDERSTOOD, OFF_BOARD, TOO_LONG

Labels = Mapping[str, str]
FIND = """
/* The move that was typed, or MOVES. */
static byte find(void)
{
    byte move, at;

    for (move = 0; move < MOVES; ++move) {
        for (at = 0; at < %(width)d && typed[at] == FETCH(names + (byte)(move * %(width)d + at)); ++at)
            ;
        if (at == %(width)d)
            break;
    }
    return move;
}
"""


class Reading:
    """Writes the reading of one input; afterwards `move` has the move's number."""

    def __init__(self, setting: Setting, names: Names) -> None:
        self._text = setting.text
        self._names = names
        self._shape = setting.play.game.shape
        self._form = self._shape.form
        self._return = character(return_code(setting.code))
        self._patterns = sorted({_pattern(name) for name in self._shape.names})
        self._has_letters = any("a" in pattern for pattern in self._patterns)

    def read(self, labels: Labels) -> None:
        """One input; falls through where it names a move."""
        if self._form.kind == "key":
            self._read_key(labels)
        else:
            self._read_line(labels)

    def pass_over(self) -> None:
        """One input, whatever it is."""
        if self._form.kind == "key":
            self._text.put("get_char();")
        else:
            self._text.put(f"while (get_char() != {self._return})\n    ;")

    def _tells_shapes(self, labels: Labels) -> bool:
        return labels[OFF_BOARD] != labels[NOT_UNDERSTOOD] and self._shape.has_off_board()

    # -- by key -------------------------------------------------------------------------------

    def _read_key(self, labels: Labels) -> None:
        text, unknown, count = self._text, labels[NOT_UNDERSTOOD], self._names.count
        tells = self._tells_shapes(labels)
        get = "get_char()"
        if tells or self._names.first is None:
            text.put(f"{text.local('key', 'what was typed')} = {get};")
            get = "key"
            if self._has_letters:
                text.put("if (key >= 'a' && key <= 'z')\n    key -= 'a' - 'A';")
        if self._names.first is not None:
            text.put(f"move = (byte)({get} - {character(self._names.first)});")
        else:
            text.put(
                f"for (move = 0; move < {count} && FETCH({self._names.table()} + move) != key; ++move)\n    ;"
            )
        if tells:
            shaped = " || ".join(_is(pattern, "key") for pattern in self._patterns)
            text.put(f"if (move >= {count} && ({shaped}))\n    goto {labels[OFF_BOARD]};")
        text.put(f"if (move >= {count})\n    goto {unknown};")

    # -- by line ------------------------------------------------------------------------------

    def _read_line(self, labels: Labels) -> None:
        text, longest, unknown = self._text, self._form.longest, labels[NOT_UNDERSTOOD]
        kept = self._kept(labels)
        text.local("key", "what was typed")
        text.local("length", f"of the line; {longest + 1} where it is longer than that")
        text.array("typed", kept, "what was typed")
        fold = "if (key >= 'a' && key <= 'z')\n        key -= 'a' - 'A';\n    " if self._has_letters else ""
        text.put(f"""
length = 0;
while ((key = get_char()) != {self._return}) {{
    {fold}if (length < {kept})
        typed[length] = (byte)(key == 0 ? 1 : key);
    if (length <= {longest})
        ++length;
}}""")
        if labels[TOO_LONG] != unknown or self._tells_shapes(labels):
            text.put(f"if (length > {longest})\n    goto {labels[TOO_LONG]};")
        if labels[EMPTY] != unknown:
            text.put(f"if (length == 0)\n    goto {labels[EMPTY]};")
        self._name_of(labels)

    def _kept(self, labels: Labels) -> int:
        """How many characters of a line are kept; further ones are only counted."""
        return self._form.longest if self._tells_shapes(labels) else self._names.longest

    def _name_of(self, labels: Labels) -> None:
        text, count, width = self._text, self._names.count, self._names.longest
        if self._names.first is not None:
            text.put(f"move = (byte)(typed[0] - {character(self._names.first)});")
            misses = f"length != 1 || move >= {count}"
        else:
            text.constant("MOVES", count, "moves that have names")
            self._names.table()
            text.function("find", FIND % {"width": width})
            text.put(f"for (key = length; key < {width}; ++key)\n    typed[key] = 0;\nmove = find();")
            misses = f"length > {width} || move >= MOVES"
        if self._tells_shapes(labels):
            shaped = " || ".join(map(self._shaped, self._patterns))
            text.put(f"if (({misses}) && ({shaped}))\n    goto {labels[OFF_BOARD]};")
        text.put(f"if ({misses})\n    goto {labels[NOT_UNDERSTOOD]};")

    def _shaped(self, pattern: str) -> str:
        """A test whether the line has a shape; the functions that it needs are written."""
        text, name = self._text, f"shaped_{self._patterns.index(pattern) + 1}"
        text.function("passed", _passed())
        steps = "\n".join(_step(kind) for kind in pattern)
        text.function(
            name,
            f"/* Whether what was typed, of this length,, looks like a name: {pattern}. */\n"
            f"static byte {name}(byte length)\n{{\n    byte at = 0;\n\n{steps}\n    return at == length;\n}}",
        )
        return f"{name}(length)"


def _pattern(name: str) -> str:
    """The kinds of a name's parts: ``9`` for a run of digits, ``a`` for a letter, any other sign for itself."""
    return re.sub(r"[a-z]", "a", re.sub(r"\d+", "9", name.lower()))


def _is(kind: str, what: str) -> str:
    """Whether a sign is of a kind."""
    first, last = {"9": ("'0'", "'9'"), "a": ("'A'", "'Z'")}.get(kind, (f"'{kind}'",) * 2)
    return f"({what} >= {first} && {what} <= {last})"


def _passed() -> str:
    return """
/* The place after the signs from `first` to `last` that stand in what was typed from `at` on, not more than `most`. */
static byte passed(byte at, byte length, byte first, byte last, byte most)
{
    while (most != 0 && at < length && typed[at] >= first && typed[at] <= last) {
        ++at;
        --most;
    }
    return at;
}
"""


def _step(kind: str) -> str:
    """The step over one part of a name; where it is lacking, the line has another shape."""
    first, last = {"9": ("'0'", "'9'"), "a": ("'A'", "'Z'")}.get(kind, (f"'{kind}'",) * 2)
    most = 255 if kind == "9" else 1
    return (
        f"    if (passed(at, length, {first}, {last}, 1) == at)\n        return 0;\n"
        f"    at = passed(at, length, {first}, {last}, {most});"
    )
