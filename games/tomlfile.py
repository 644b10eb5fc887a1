"""TOML files read with care: every mistake is told with its line, and all mistakes at once.

The standard reader keeps no places, so a second, simple pass finds the line on which each key stands.
A `Table` hands out checked values and notes what is wrong; `finish` then names every key that nobody
asked for, so that a misspelt key is never passed over in silence.
"""

import os
import re
import tomllib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from games.problems import BadInput, Problem, bad, closest, listed, near_miss

Path_ = tuple[str | int, ...]
_KEY = r"""\s*(?P<key>[A-Za-z0-9_-]+|"[^"]*"|'[^']*')\s*[=.]"""
_TABLE = r"\s*(?P<open>\[\[?)\s*(?P<name>[^\[\]]+?)\s*\]\]?\s*(#.*)?$"
_IN_VALUE = r'"""|\'\'\'|"(?:\\.|[^"\\])*"|\'[^\']*\'|#.*|[\[\]{}]'
_SYNTAX_PLACE = r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$"
LARGEST_FILE = 1_000_000
"""Bytes.  No file that people write comes near it; it keeps a mistaken or hostile file from filling the memory."""


def read_text(path: str | Path, largest: int = LARGEST_FILE) -> str:
    """A UTF-8 text file of so many bytes at most, line ends made alike.  Raises BadInput if there is none to read."""
    name = str(path)
    try:
        with Path(path).open("rb") as file:
            raw = file.read(largest + 1)
    except (OSError, ValueError) as error:
        raise bad(f"cannot be read: {_why_unread(error, name)}", name) from None
    if len(raw) > largest:
        raise bad(f"is larger than {largest:,} bytes; expected a small text file", name)
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise bad("this is UTF-16 text; expected UTF-8: choose it when you save the file", name, 1)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        message = "expected UTF-8 text, found a byte that is none: choose UTF-8 when you save the file"
        raise bad(message, name, raw[: error.start].count(b"\n") + 1) from None
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        raise bad("holds a byte 0; expected plain text in UTF-8", name, line)
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _why_unread(error: Exception, name: str) -> str:
    """Why a file could not be opened or read, in words of our own where there are some."""
    if isinstance(error, FileNotFoundError | NotADirectoryError):
        return f"there is no such file{_near_file(name)}"
    if os.path.isdir(name):  # noqa: PTH112 - pathlib's own may raise once more what the system said
        return "it is a folder"
    if isinstance(error, PermissionError):
        return "the system does not permit it"
    return str(getattr(error, "strerror", None) or error)


def _near_file(name: str) -> str:
    """Which file in the same folder was probably meant, if there is one; nothing where the folder cannot be read."""
    path = Path(name)
    try:
        names = {file.name.lower(): file.name for file in path.parent.iterdir() if file.is_file()}
    except (OSError, ValueError):
        return ""
    close = closest(path.name, tuple(sorted(names)))
    return f"; did you mean '{path.with_name(names[close])}'?" if close else ""


def read_toml(path: str | Path, kind: str) -> "Table":
    """The top table of a TOML file that must say ``kind = "..."``; raises BadInput for faulty syntax."""
    return parse_toml(read_text(path), str(path), kind)


def parse_toml(text: str, file: str, kind: str) -> "Table":
    """The same for text already at hand; `file` is what messages call it."""
    table = _top_table(text, file)
    table.text("kind", one_of=(kind,))
    if "kind" in table:
        table.raise_problems()  # a file of another kind: whatever else it holds is no mistake of its own
    return table


def kind_among(text: str, file: str, kinds: Sequence[str]) -> str:
    """Which of these kinds of file a TOML text says that it is.  Raises BadInput if it says none of them."""
    table = _top_table(text, file)
    says = f"expected a line 'kind = ...' that says what the file is: {listed(kinds)}"
    if table.is_empty:
        raise bad(f"is empty; {says}", file)
    if "kind" not in table:
        raise bad(says, file, 1)
    kind = table.text("kind", one_of=kinds)
    table.raise_problems()
    return kind


def _top_table(text: str, file: str) -> "Table":
    try:
        return Table(tomllib.loads(text), Places(text), (), file, [])
    except tomllib.TOMLDecodeError as error:
        raise _syntax_problem(str(error), file, text) from None
    except RecursionError:
        raise bad("is nested too deeply; expected plain TOML", file) from None
    except ValueError:  # Python reads no number of thousands of digits
        number = re.search(r"[0-9_]{1000}", text)
        line = text[: number.start()].count("\n") + 1 if number else 0
        raise bad("holds a number that is far too long", file, line) from None


_PLAIN_WORDS = (
    (r"cannot overwrite a value", "this key is here already; expected it once"),
    (r"cannot declare \((.*?),?\) twice", r"\1 is here already; expected it once"),
    (r"illegal character '\\n'", "a text must end with its quote on the same line"),
    (r"invalid value", 'invalid value (a text stands in quotes: "...")'),
)
"""What the standard reader says, and the same in words for people."""


def _syntax_problem(message: str, file: str, text: str) -> BadInput:
    place = re.search(_SYNTAX_PLACE, message)
    what = re.sub(_SYNTAX_PLACE, "", message)
    what = what[:1].lower() + what[1:]
    for said, plain in _PLAIN_WORDS:
        what = re.sub(said, plain, what)
    lines = text.split("\n")
    line, column = (int(place[1]), int(place[2])) if place and place[1] else (len(lines), 0)
    return BadInput([Problem(file, line, column, f"this is not TOML: {what}", lines[line - 1])])


def key_lines(text: str) -> dict[Path_, int]:
    """The line of every table and key of a TOML text that the standard reader has accepted.

    A path is made of key names, and numbers where a table of an array is meant: ``("rule", 0, "say")``.
    """
    lines: dict[Path_, int] = {}
    counts: dict[Path_, int] = {}
    table: Path_ = ()
    quote, depth = "", 0
    for number, line in enumerate(text.split("\n"), 1):
        begins_inside = bool(quote or depth)
        heading = None if begins_inside else re.match(_TABLE, line)
        if heading:
            table = _table_path(heading["name"], counts, is_array=heading["open"] == "[[")
            lines.setdefault(table, number)
            continue
        key = None if begins_inside else re.match(_KEY, line)
        if key:
            lines.setdefault((*table, key["key"].strip("\"'")), number)
        quote, depth = _state_after(line[key.end() :] if key else line, quote, depth)
    return lines


def _table_path(name: str, counts: dict[Path_, int], *, is_array: bool) -> Path_:
    path: Path_ = ()
    parts = [part.strip().strip("\"'") for part in name.split(".")]
    for place, part in enumerate(parts):
        path = (*path, part)
        if is_array and place == len(parts) - 1:
            counts[path] = counts.get(path, 0) + 1
        if path in counts:
            path = (*path, counts[path] - 1)
    return path


def _state_after(line: str, quote: str, depth: int) -> tuple[str, int]:
    """Whether the next line begins inside a long string or an array, given that this one begins so."""
    if quote:
        _, found, line = line.partition(quote)
        if not found:
            return quote, depth
    for token in re.findall(_IN_VALUE, line):
        if token in ('"""', "'''"):
            _, _, rest = line.partition(token)
            _, found, rest = rest.partition(token)
            return _state_after(rest, "", depth) if found else (token, depth)
        depth += (token in "[{") - (token in "]}")
    return "", depth


class Places:
    """The lines of a text's keys, found when the first is asked for: a file without mistakes never asks."""

    __slots__ = ("_lines", "_text")

    def __init__(self, text: str) -> None:
        self._text = text
        self._lines: dict[Path_, int] | None = None

    def line(self, path: Path_) -> int:
        """The line of a key, or of the nearest thing around it that has one."""
        if self._lines is None:
            self._lines = key_lines(self._text)
        while path:
            for place in (path, (*path, 0)):  # the tables of an array begin with its first
                if place in self._lines:
                    return self._lines[place]
            path = path[:-1]
        return 1


class Table:
    """One table of a TOML file that is being checked.  The problems of all tables of a file are gathered together."""

    __slots__ = ("_asked", "_missing", "_path", "_places", "_values", "file", "problems")

    def __init__(
        self, values: dict[str, Any], places: Places, path: Path_, file: str, problems: list[Problem]
    ) -> None:
        self._values = values
        self._places = places
        self._path = path
        self._asked: list[str] = []
        self._missing: dict[str, Problem] = {}
        self.file = file
        self.problems = problems

    def line(self, key: str = "") -> int:
        """The line of a key, or of the table itself, or of the nearest thing around it that has one."""
        return self._places.line((*self._path, key) if key else self._path)

    def wrong(self, key: str, message: str) -> None:
        """Note a mistake at a key."""
        self.problems.append(Problem(self.file, self.line(key), 0, message))

    def __contains__(self, key: str) -> bool:
        return key in self._values

    @property
    def is_empty(self) -> bool:
        """Whether there is no key at all."""
        return not self._values

    def _take(self, key: str, default: Any, wanted: type, what: str) -> Any:
        """The key's value if it has the wanted type; otherwise note the mistake and give the default."""
        self._asked.append(key)
        if key not in self._values:
            if default is None:
                self.wrong("", f"'{key}' is missing; expected {key} = {what}")
                self._missing[key] = self.problems[-1]
            return default
        value = self._values[key]
        if not isinstance(value, wanted) or (wanted is int and isinstance(value, bool)):
            self.wrong(key, f"'{key}' should be {what}")
            return default
        return value

    def text(self, key: str, default: str | None = None, one_of: Sequence[str] = ()) -> str:
        """A text, out of the list if there is one."""
        what = listed([f'"{word}"' for word in one_of]) if one_of else 'a text in quotes, such as "..."'
        value = self._take(key, default, str, what)
        if value is None:
            return one_of[0] if one_of else ""
        if one_of and value not in one_of:
            self.wrong(key, f"'{key}' should be {what}, not \"{value}\"{near_miss(value, one_of)}")
            return one_of[0]
        if not value.isprintable():
            self.wrong(key, f"'{key}' should be one line of plain text")
        return str(value)

    def whole(self, key: str, default: int | None = None, least: int = 0, most: int = 1 << 62) -> int:
        """A whole number between two bounds, both included."""
        what = (
            f"a whole number from {least} to {most}" if most < 1 << 62 else f"a whole number, {least} or more"
        )
        what = what if least < most else str(least)
        value = self._take(key, default, int, what)
        if value is None:
            return least
        if not least <= value <= most:
            self.wrong(key, f"'{key}' should be {what}, not {value}")
            return least
        return int(value)

    def flag(self, key: str, default: bool) -> bool:
        """A yes or no."""
        return bool(self._take(key, default, bool, "true or false"))

    def texts(
        self, key: str, default: Sequence[str] | None = None, one_of: Sequence[str] = ()
    ) -> tuple[str, ...]:
        """A list of texts, each out of the list of known ones if there is one."""
        what = 'a list of texts, such as ["...", "..."]'
        values = self._take(key, default, list, what) if key in self._values or default is None else default
        self._asked.append(key)
        if values is None:
            return ()
        if not all(isinstance(value, str) for value in values):
            self.wrong(key, f"'{key}' should be {what}")
            return ()
        for value in values:
            if one_of and value not in one_of:
                self.wrong(
                    key,
                    f"'{key}' cannot hold \"{value}\"; expected {listed(one_of)}{near_miss(value, one_of)}",
                )
        return tuple(value for value in values if not one_of or value in one_of)

    def wholes(
        self, key: str, default: Sequence[int] | None = None, least: int = 0, most: int = 1 << 62
    ) -> tuple[int, ...]:
        """A list of whole numbers, each between two bounds, both included; none if one of them is not."""
        what = f"a list of whole numbers from {least} to {most}, such as [{least + 2}, {least + 3}]"
        values = self._take(key, default, list, what) if key in self._values or default is None else default
        self._asked.append(key)
        for value in values or ():
            if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most:
                self.wrong(key, f"'{key}' should be {what}")
                return ()
        return tuple(values or ())

    def text_lists(self, key: str) -> list[tuple[str, ...]]:
        """A list of lists of texts (none if the key is missing)."""
        values = self._take(key, [], list, 'a list of lists, such as [["...", "..."], ["..."]]')
        if not all(isinstance(one, list) and all(isinstance(text, str) for text in one) for one in values):
            self.wrong(key, f'\'{key}\' should be a list of lists of texts, such as [["...", "..."]]')
            return []
        return [tuple(one) for one in values]

    def table(self, key: str) -> "Table":
        """A table below this one; an empty one if the key is missing."""
        values = self._take(key, {}, dict, f"a table: [{key}]")
        return Table(values, self._places, (*self._path, key), self.file, self.problems)

    def tables(self, key: str) -> list["Table"]:
        """The tables of an array of tables (none if the key is missing)."""
        values = self._take(key, [], list, f"tables, each begun by [[{key}]]")
        if not all(isinstance(value, dict) for value in values):
            self.wrong(key, f"'{key}' should be tables, each begun by [[{key}]]")
            return []
        path = (*self._path, key)
        return [
            Table(value, self._places, (*path, place), self.file, self.problems)
            for place, value in enumerate(values)
        ]

    def finish(self) -> None:
        """Name every key of this table that was never asked for.

        A key that is missing and was probably meant by one of these is no mistake of its own.
        """
        for key in self._values:
            if key in self._asked:
                continue
            meant = closest(key, tuple(self._missing))
            if meant:
                self.problems.remove(self._missing.pop(meant))
            self.wrong(
                key,
                f"'{key}' is not known here; expected {listed(sorted(set(self._asked)))}"
                f"{near_miss(key, (meant,) if meant else self._asked)}",
            )

    def raise_problems(self) -> None:
        """Raise BadInput if any table of this file had a mistake."""
        if self.problems:
            raise BadInput(sorted(self.problems, key=lambda problem: problem.line))
