"""How bad input is told: one clear line for each mistake, all mistakes of a file at once.

A line reads ``file:line:column: what is wrong and what was expected``; line and column are left out
where there are none.  Everything that reads something from outside raises :class:`BadInput`, and only
the command line turns it into exit status 2.
"""

from collections.abc import Iterable, Sequence

LONGEST_MESSAGE = 400
LONGEST_SHOWN = 72
"""Characters: what is longer is cut, so that one endless word in a file does not fill the screen."""


class Problem:
    """One mistake: where it stands (lines and columns count from 1, 0 is "nowhere") and what was expected."""

    __slots__ = ("column", "file", "line", "message", "shown")

    def __init__(self, file: str, line: int, column: int, message: str, shown: str = "") -> None:
        self.file = file
        self.line = line
        self.column = column
        self.message = message
        self.shown = shown
        """The faulty source line, when a caret below it helps to see the place."""

    def __str__(self) -> str:
        place = self.file
        if self.line:
            place += f":{self.line}"
            if self.column:
                place += f":{self.column}"
        message = _shortened(_escaped(self.message))
        return f"{_escaped(place)}: {message}" if place else message

    def with_caret(self) -> str:
        """The one line, and below it the source line with a caret under the faulty column."""
        if not self.shown or not self.column:
            return str(self)
        begin = max(0, self.column - LONGEST_SHOWN // 2) if len(self.shown) > LONGEST_SHOWN else 0
        source = "".join(map(_one_column, self.shown[begin : begin + LONGEST_SHOWN]))
        return f"{self}\n    {source}\n    {' ' * (self.column - 1 - begin)}^"


def _shortened(message: str) -> str:
    """A message of bearable length: its beginning and its end, where the place and the advice stand."""
    half = LONGEST_MESSAGE // 2
    return message if len(message) <= LONGEST_MESSAGE else f"{message[:half]} ... {message[-half:]}"


def _escaped(text: str) -> str:
    """The text with every sign that would steer a terminal, or end the line, written out by its number."""
    if text.isprintable():
        return text
    return "".join(sign if sign.isprintable() else sign.encode("unicode_escape").decode() for sign in text)


def _one_column(sign: str) -> str:
    """The sign, or what stands in its place where it would not take up one column."""
    return sign if sign.isprintable() else " " if sign.isspace() else "?"


class BadInput(Exception):
    """The request or a file is not usable; `problems` holds every mistake found, in the order of the file."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


def bad(message: str, file: str = "", line: int = 0, column: int = 0) -> BadInput:
    """A `BadInput` of a single mistake."""
    return BadInput([Problem(file, line, column, message)])


def closest(word: str, known: Sequence[str]) -> str:
    """The known word that a misspelt one was probably meant to be, or nothing."""
    from difflib import get_close_matches  # only ever needed once something is wrong

    if len(word) < 3:
        return ""  # nearly every short word is close to some other
    begins_alike = [name for name in known if name.startswith(word.lower())]
    return next(iter(begins_alike or get_close_matches(word.lower(), known, n=1, cutoff=0.6)), "")


def near_miss(word: str, known: Sequence[str]) -> str:
    """`", did you mean ...?"` where one of the known words is close, else nothing."""
    close = closest(word, known)
    return f"; did you mean '{close}'?" if close else ""


def so_many(number: int, thing: str) -> str:
    """A number of things: ``1 row``, ``3 rows``."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def listed(words: Sequence[str], last: str = "or") -> str:
    """Words as a person says them: ``a, b or c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"
