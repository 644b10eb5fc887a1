"""The header of a strategy file: ``key: value`` lines on top that say what it plays, and how it is to be judged."""

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

from games.codes import PLAYERS
from games.game import Game
from games.house import HouseRules, load_house_rules
from games.load import is_program, load_game
from games.problems import BadInput, Problem, bad, closest, listed, near_miss

BOTH = "both"
SEATS = (*PLAYERS, BOTH)
CLAIMS = ("never-loses", "best-value", "quickest")
_LINE = re.compile(r"\s*(?P<key>[A-Za-z][A-Za-z-]*)\s*(?P<sign>[:=]|\s|$)\s*(?P<value>.*?)\s*$")


class Entry(NamedTuple):
    """One line of a header."""

    value: str
    line: int
    column: int
    is_guess: bool = False
    """Whether the key was misspelt, so that nothing more is said about this line."""


class Header:
    """The header of one file, its values checked when they are asked for; problems are gathered.

    known: the keys that it may have, each with an example of its value.
    """

    __slots__ = ("_faulty", "entries", "file", "known", "problems")

    def __init__(self, file: str, known: Mapping[str, str]) -> None:
        self.file = file
        self.known = known
        self.entries: dict[str, Entry] = {}
        self.problems: list[Problem] = []
        self._faulty: set[str] = set()
        """Keys that are there without a value, and so are not missing as well."""

    def take(self, text: str, line: int) -> bool:
        """Note a line if it is one of a header (``key: value``); say whether it was."""
        found = _LINE.match(text)
        if not found or (found["sign"] != ":" and found["key"].lower() not in self.known):
            return False
        key = found["key"].lower()
        column = found.start("key") + 1
        is_guess = False
        if found["sign"] != ":":
            example = f"'{key}: {self.known[key]}'"
            self._wrong(line, column, f"expected '{key}:' with a colon, such as {example}", text)
        elif key not in self.known:
            known = tuple(self.known)
            says = f"'{found['key']}' is no key of a header; expected {listed(known)}{near_miss(key, known)}"
            self._wrong(line, column, says, text)
            key, is_guess = closest(key, known), True
        if key in self.entries:
            first = self.entries[key].line
            self._wrong(line, column, f"'{key}' is given twice; the first time on line {first}", text)
        elif key and not found["value"]:
            self._wrong(
                line,
                found.end("value") + 1,
                f"expected a value behind '{key}:', such as '{key}: {self.known[key]}'",
                text,
            )
            self._faulty.add(key)
        elif key:
            self.entries[key] = Entry(found["value"], line, found.start("value") + 1, is_guess)
        return True

    def _wrong(self, line: int, column: int, message: str, shown: str = "") -> None:
        self.problems.append(Problem(self.file, line, column, message, shown))

    def _wrong_at(self, entry: Entry, message: str) -> None:
        """Note what is wrong with a line's value."""
        if not entry.is_guess:
            self._wrong(entry.line, entry.column, message)

    def word(self, key: str, allowed: Sequence[str], default: str) -> str:
        """The value of a key that has a few known values."""
        entry = self.entries.get(key)
        if entry is None:
            return default
        value = entry.value.lower()
        if value not in allowed:
            says = f"'{key}' should be {listed(allowed)}, not '{entry.value}'{near_miss(value, allowed)}"
            self._wrong_at(entry, says)
            return default
        return value

    def asked(self, key: str, option: str | None, allowed: Sequence[str], default: str) -> str:
        """The header's value or an option's; the two must not contradict each other."""
        written = self.word(key, allowed, option or default)
        if option is None or key not in self.entries or written == option:
            return written
        if written == BOTH:
            return option  # one of the seats that the file is for
        self.contradicts(key, option, written)
        return written

    def missing(self, key: str, example: str) -> None:
        """Note that neither the header nor an option gives a value that is needed."""
        if key in self._faulty:
            return
        self._wrong(1, 0, f"expected a header line such as '{key}: {example}' (or the option --{key})")

    def contradicts(self, key: str, option: str, written: str) -> None:
        """Note that an option asks for something else than the header says."""
        entry = self.entries[key]
        says = f"the file says '{key}: {written}', but --{key} {option} was asked for; expected the same"
        self._wrong_at(entry, says)

    def game(self, option: str | None) -> tuple[str, Game | None]:
        """The game that the header or the option names, and it itself; None if neither does or it cannot be read.

        A game file is looked for beside the strategy's own file.  One in Python is run, and a strategy may be
        anybody's: so that is done only where the option names it, and the header can only agree.
        """
        entry = self.entries.get("game")
        name = entry.value if entry else option
        if entry and option and not same_file(option, self.beside(entry.value)):
            self.contradicts("game", option, entry.value)
        if name is None:
            self.missing("game", "noughts-and-crosses")
            return "", None
        if entry and is_program(entry.value):
            if option is None:
                says = f"{entry.value} is a program, and is run only where you name it yourself"
                self._wrong_at(entry, f"{says}; expected the option --game {entry.value}")
            if option is None or not same_file(option, self.beside(entry.value)):
                return name, None
            name, entry = option, None
        name = self.beside(name) if entry else name
        try:
            return name, load_game(name)
        except BadInput as error:
            self._pass_on(error, entry)
            return name, None

    def house_rules(self, option: str | None, game: Game | None) -> tuple[str, HouseRules | None]:
        """The house rules that the header or the option names, and they themselves; None where they cannot be read.

        Without a game nothing can be said about them.  A file is looked for beside the strategy's own file.
        """
        entry = self.entries.get("house-rules")
        name = self.beside(entry.value) if entry else "usual" if option is None else option
        if entry and option is not None and not same_file(option, name):
            self.contradicts("house-rules", option, entry.value)
        if game is None:
            return name, None
        try:
            return name, load_house_rules(name, game)
        except BadInput as error:
            self._pass_on(error, entry)
            return name, None

    def beside(self, name: str) -> str:
        """A file that the header names is looked for beside the file itself; other names stay as they are."""
        return str(Path(self.file).parent / name) if is_file(name) else name

    def _pass_on(self, error: BadInput, entry: Entry | None) -> None:
        """Problems of a file that the header names; one without a place of its own is told at the header's line."""
        for problem in error.problems:
            if problem.line or entry is None:
                self.problems.append(problem)
            else:
                said = f"{entry.value}: {problem.message}" if problem.file else problem.message
                self._wrong_at(entry, said)

    def raise_problems(self) -> None:
        """Raise BadInput if anything was wrong: what stands in this file first, then file by file."""
        if self.problems:
            files = [self.file, *(problem.file for problem in self.problems)]
            raise BadInput(sorted(self.problems, key=lambda each: (files.index(each.file), each.line)))


def is_file(name: str) -> bool:
    """Whether this names a file, and nothing that comes with Wordtight."""
    return name.lower().endswith(".toml") or is_program(name)


def same_file(asked: str, written: str) -> bool:
    """Whether an option and a header name the same thing: the same name, or the same file by another path."""
    if is_file(asked) and is_file(written):
        return Path(asked).resolve() == Path(written).resolve()
    return asked == written


def seat_numbers(seat: str) -> tuple[int, ...]:
    """The seats, by number, that `first`, `second` or `both` means."""
    if seat not in SEATS:
        raise bad(f"'{seat}' is no seat; expected {listed(SEATS)}{near_miss(seat, SEATS)}")
    return (0, 1) if seat == BOTH else (PLAYERS.index(seat),)
