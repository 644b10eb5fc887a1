"""Character codes: what a message is, character by character, in the code of a machine.

A code is data, one TOML file each in ``characters/``, with the published standard that it comes from.  It has
one case, or several with a shift character each, as five-unit telegraph codes have letters and figures: every
change of case costs a character.  A message begins in the first case.
"""

from pathlib import Path
from typing import NamedTuple

from games.problems import BadInput, Problem, bad, listed, near_miss
from games.tomlfile import Table, parse_toml, read_text

_FOLDER = Path(__file__).parent / "characters"

NO_CHARACTER = "~"
"""Stands in a code's table where there is nothing to print.  No code of ours has it: ISO 646 leaves it to nations."""

INSTEAD = {
    "!": (".",),
    '"': ("'", "."),
    ";": (",",),
    "&": ("AND",),
    "*": ("X",),
    "@": ("AT",),
    "#": ("NO.", "NO"),
    "%": ("PERCENT",),
    "$": ("DOLLARS",),
    "_": ("-",),
    "<": ("(", "LESS THAN"),
    ">": (")", "MORE THAN"),
    "[": ("(",),
    "]": (")",),
    "{": ("(",),
    "}": (")",),
    "`": ("'",),
    "\\": ("/",),
    "|": ("/",),
    "~": ("-",),
    "\t": (" ",),
    "\n": (" ",),
    "\N{LEFT SINGLE QUOTATION MARK}": ("'",),
    "\N{RIGHT SINGLE QUOTATION MARK}": ("'",),
    "\N{LEFT DOUBLE QUOTATION MARK}": ('"', "'"),
    "\N{RIGHT DOUBLE QUOTATION MARK}": ('"', "'"),
    "\N{EN DASH}": ("-",),
    "\N{EM DASH}": ("-",),
    "\N{HORIZONTAL ELLIPSIS}": ("...",),
    "\N{MULTIPLICATION SIGN}": ("X",),
}
"""What a person would say for a character that a code lacks, the likeliest first."""


class Case(NamedTuple):
    """One case of a code: the character that shifts to it, if there are others, and its characters' codes."""

    name: str
    shift: int | None
    codes: dict[str, int]


class CharacterCode(NamedTuple):
    """A character code of `bits` bits.  `end` marks the end of a message; `line_end` are the codes of a new line."""

    name: str
    title: str
    origin: str
    bits: int
    end: int
    line_end: tuple[int, ...]
    cases: tuple[Case, ...]

    def encode(self, text: str) -> tuple[int, ...]:
        """The codes of a text, shifts among them, without the end mark; small letters become capitals if need be.

        Raises BadInput, one mistake for each character that the code lacks, with what could be said instead.
        """
        lacking = [sign for sign in dict.fromkeys(text) if not self._has(sign)]
        if lacking:
            raise BadInput(Problem("", 0, 0, self._advice(sign)) for sign in lacking)
        codes: list[int] = []
        case = self.cases[0]
        for sign in text:
            if sign == "\n":
                codes.extend(self.line_end)
                continue
            wanted = self._case_for(sign, case)
            if wanted is not case and wanted.shift is not None:
                codes.append(wanted.shift)
            case = wanted
            codes.append(case.codes[self._folded(sign)])
        return tuple(codes)

    def decode(self, codes: tuple[int, ...]) -> str:
        """The text that some codes print, up to the end mark if there is one."""
        text = ""
        case = self.cases[0]
        signs = {each.name: {code: sign for sign, code in each.codes.items()} for each in self.cases}
        shifts = {each.shift: each for each in self.cases if each.shift is not None}
        for code in codes:
            if code == self.end:
                break
            if code in shifts:
                case = shifts[code]
            elif code in self.line_end:
                text += "\n" if code == self.line_end[-1] else ""
            else:
                text += signs[case.name][code]
        return text

    def printed(self, text: str) -> str:
        """A text that can be said, as this code prints it: in capitals where it has no small letters."""
        return "".join(map(self._folded, text))

    @property
    def characters(self) -> str:
        """Every character that can be said, without line ends, in the order of the codes."""
        return "".join(dict.fromkeys(sign for case in self.cases for sign in case.codes))

    def _folded(self, sign: str) -> str:
        """The character itself if some case has it, else its capital."""
        return sign if any(sign in case.codes for case in self.cases) else sign.upper()

    def _has(self, sign: str) -> bool:
        if sign == "\n":
            return bool(self.line_end)
        return any(self._folded(sign) in case.codes for case in self.cases)

    def _case_for(self, sign: str, current: Case) -> Case:
        """The case to print a character in: the current one if it will do."""
        folded = self._folded(sign)
        return next(case for case in (current, *self.cases) if folded in case.codes)

    def _advice(self, sign: str) -> str:
        """That the code lacks a character, and what to say instead."""
        for text in (*INSTEAD.get(sign, ()), _without_accents(sign)):
            if text and all(map(self._has, text)):
                return f"{self.title} has no {_in_words(sign)}; say {_in_words(text)} instead"
        if not self._has(" "):
            return f"{self.title} has no {_in_words(sign)}; expected some of {self.characters}"
        signs = "".join(other for other in self.characters if not other.isalnum() and other != " ")
        return f"{self.title} has no {_in_words(sign)}; expected letters, figures, spaces or some of {signs}"


def _in_words(text: str) -> str:
    """A character or a few as they can be shown and read aloud."""
    named = {" ": "space", "\n": "line end", "\t": "tab"}
    if text in named:
        return named[text]
    return f"'{text}'" if text.isprintable() else f"character number {ord(text):04X}"


def _without_accents(sign: str) -> str:
    """A letter without its accents, or nothing."""
    from unicodedata import combining, normalize  # only ever needed once something is wrong

    return "".join(part for part in normalize("NFKD", sign) if not combining(part))


def character_code_names() -> tuple[str, ...]:
    """The character codes that there are, by name."""
    return tuple(sorted(path.stem for path in _FOLDER.glob("*.toml")))


def load_characters(name: str, folder: str | Path = "") -> CharacterCode:
    """The character code of this name, or of a TOML file in a folder.  Raises BadInput if there is none."""
    if name.lower().endswith(".toml"):
        path = Path(folder) / name
        return parse_characters(read_text(path), str(path))
    known = character_code_names()
    if name not in known:
        raise bad(
            f"there is no character code called '{name}'; expected {listed(known)}{near_miss(name, known)}"
        )
    return parse_characters(read_text(_FOLDER / f"{name}.toml"), f"{name}.toml")


def parse_characters(text: str, file: str) -> CharacterCode:
    """A character code from TOML text; `file` is what messages call it, and its stem names the code."""
    table = parse_toml(text, file, "characters")
    title = table.text("title")
    origin = table.text("from")
    bits = table.whole("bits", least=4, most=8)
    largest = (1 << bits) - 1
    end = table.whole("end", most=largest)
    line_end = tuple(
        table.whole(key, most=largest) for key in ("carriage-return", "line-feed") if key in table
    )
    tables = table.tables("case")
    cases = tuple(_read_case(each, largest) for each in tables)
    if not cases:
        table.wrong("case", "there is no case; expected one [[case]] or more")
    table.finish()
    if not table.problems:
        _check_controls(table, tables, CharacterCode("", title, origin, bits, end, line_end, cases))
    table.raise_problems()
    return CharacterCode(Path(file).stem, title, origin, bits, end, line_end, cases)


def _check_controls(table: Table, tables: list[Table], code: CharacterCode) -> None:
    """Check that codes which shift, end a line or end a message do nothing else."""
    if len(code.cases) > 1:
        for each, case in zip(tables, code.cases, strict=True):
            if case.shift is None:
                each.wrong(
                    "", f"the case '{case.name}' has no 'shift'; expected one where there are several cases"
                )
    shifts = [("'shift'", case.shift) for case in code.cases if case.shift is not None]
    ends = [("a line end", each) for each in code.line_end]
    meaning: dict[int, str] = {}
    for what, number in (("'end'", code.end), *shifts, *ends):
        if number in meaning:
            table.wrong("", f"code {number} is both {meaning[number]} and {what}; expected different codes")
        meaning[number] = what
    for each, case in zip(tables, code.cases, strict=True):
        for sign, number in case.codes.items():
            if number in meaning:
                message = (
                    f"code {number} is {meaning[number]} and {_in_words(sign)}; expected {NO_CHARACTER} there"
                )
                each.wrong("table", message)


def _read_case(table: Table, largest: int) -> Case:
    name = table.text("name")
    shift = table.whole("shift", most=largest) if "shift" in table else None
    signs = "".join(table.texts("table"))
    if not (name.isascii() and name.isidentifier()):
        table.wrong("name", "'name' should be one word of letters, such as \"figures\"")
    twice = [sign for sign in dict.fromkeys(signs) if sign != NO_CHARACTER and signs.count(sign) > 1]
    if twice:
        table.wrong("table", f"{_in_words(twice[0])} is in the table twice; expected it once")
    if len(signs) != largest + 1:
        table.wrong("table", f"the table has {len(signs)} places; expected {largest + 1}, one for each code")
    table.finish()
    return Case(name, shift, {sign: code for code, sign in enumerate(signs) if sign != NO_CHARACTER})
