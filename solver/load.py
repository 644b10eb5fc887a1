"""Reading a strategy, whatever its kind: a rule sheet (plain text) or a table (.csv)."""

from pathlib import Path
from typing import NamedTuple

from games.game import Game
from games.problems import BadInput
from games.tomlfile import read_text
from solver import table
from solver.header import CLAIMS, SEATS, Header, same_file, seat_numbers
from solver.sheet.reader import HEADER_KEYS, SheetReader, without_comment
from solver.strategy import CHOICES, OPEN, PLAIN, TURNED, Rule, Strategy


class Written(NamedTuple):
    """A strategy file as read: its rules and what its header asks for."""

    file: str
    game: Game
    seats: tuple[int, ...]
    claim: str
    house_rules: str
    rules: tuple[Rule, ...]
    choice: str

    def strategy(self, seat: int) -> Strategy:
        """The strategy for one of the seats."""
        return Strategy(Path(self.file).stem, self.file, self.game, seat, self.rules, self.choice)


def load_strategy(
    path: str | Path,
    *,
    game: str | None = None,
    seat: str | None = None,
    claim: str | None = None,
    house_rules: str | None = None,
) -> Written:
    """Read a rule sheet or a table.

    `game` (a name or file), `seat` (first, second, both), `claim` and `house_rules` stand in for header
    lines that are missing.  Raises BadInput with every mistake, also where one of them contradicts the header.
    """
    file = str(path)
    lines = read_text(path).split("\n")
    is_table = file.lower().endswith(".csv")
    header, begin = table.read_header(lines, file) if is_table else read_sheet_header(lines, file)
    played = header.game(game)
    seat_name = header.asked("seat", seat, SEATS, "")
    if not seat_name and "seat" not in header.entries:
        header.missing("seat", "second")
    claimed = header.asked("claim", claim, CLAIMS, CLAIMS[0])
    house = _house_rules(header, house_rules)
    rules, choice = _read_rules(header, lines, begin, played, is_table=is_table)
    header.raise_problems()
    assert played is not None
    return Written(file, played, seat_numbers(seat_name), claimed, house, tuple(rules), choice)


def _house_rules(header: Header, option: str | None) -> str:
    entry = header.entries.get("house-rules")
    if entry is None:
        return option or "usual"
    written = header.beside(entry.value)
    if option is not None and not same_file(option, written):
        header.contradicts("house-rules", option, entry.value)
    return written


def _read_rules(
    header: Header, lines: list[str], begin: int, game: Game | None, *, is_table: bool
) -> tuple[list[Rule], str]:
    """The rules and how choices are settled; their problems join those of the header."""
    if is_table:
        turned = header.word("turning", (PLAIN, TURNED), TURNED) == TURNED
        choice = OPEN if turned else PLAIN
    else:
        choice = header.word("choice", CHOICES, OPEN)
    if game is None:
        return [], choice
    try:
        if is_table:
            rows = table.TableReader(header.file, lines, game).read(begin, turned=turned)
            name = Path(header.file).name
            return [table.TableRule(f"the table {name}", begin + 1, game, rows, turned=turned)], choice
        return SheetReader(header.file, lines, game).read(begin), choice
    except BadInput as error:
        header.problems.extend(error.problems)
        return [], choice


def read_sheet_header(lines: list[str], file: str) -> tuple[Header, int]:
    """The header of a rule sheet, and the line (from 0) of its first rule."""
    header = Header(file, tuple(HEADER_KEYS))
    for number, line in enumerate(lines):
        text = without_comment(line)
        if text.strip() and not header.take(text, number + 1):
            return header, number
    return header, len(lines)
