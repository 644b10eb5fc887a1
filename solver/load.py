"""Reading a strategy, whatever its kind: a rule sheet (plain text) or a table (.csv)."""

from pathlib import Path
from typing import NamedTuple

from games.game import Game
from games.house import HouseRules
from games.load import catalogue_names
from games.problems import BadInput, bad
from games.tomlfile import read_text
from solver import table
from solver.header import CLAIMS, SEATS, Header, seat_numbers
from solver.sheet.reader import HEADER_KEYS, SheetReader, slips_of_grammar, without_comment
from solver.strategy import CHOICES, OPEN, PLAIN, TURNED, Rule, Strategy


class Written(NamedTuple):
    """A strategy file as read: its rules and what its header asks for; games and house rules also as they are named."""

    file: str
    game_name: str
    game: Game
    seats: tuple[int, ...]
    claim: str
    house_rules: str
    house: HouseRules
    rules: tuple[Rule, ...]
    choice: str
    is_table: bool

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
    if file in catalogue_names() and not Path(file).exists():
        raise bad("is a game; expected a rule sheet or a table (wordtight new rules writes one)", file)
    if file.lower().endswith(".toml"):
        raise bad("is no strategy; expected a rule sheet, or a table in a .csv file", file)
    lines = read_text(path).split("\n")
    is_table = file.lower().endswith(".csv") or any(map(table.are_titles, lines))
    if not any(without_comment(line).strip() for line in lines):
        raise bad(f"is empty; expected a {'table' if is_table else 'rule sheet'}", file)
    header, begin = table.read_header(lines, file) if is_table else read_sheet_header(lines, file)
    game_name, played = header.game(game)
    seat_name = header.asked("seat", seat, SEATS, "")
    if not seat_name and "seat" not in header.entries:
        header.missing("seat", "second")
    claimed = header.asked("claim", claim, CLAIMS, CLAIMS[0])
    house_name, house = header.house_rules(house_rules, played)
    rules, choice = _read_rules(header, lines, begin, played, is_table=is_table)
    header.raise_problems()
    assert played is not None
    assert house is not None
    return Written(
        file,
        game_name,
        played,
        seat_numbers(seat_name),
        claimed,
        house_name,
        house,
        tuple(rules),
        choice,
        is_table,
    )


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
        if not is_table:
            header.problems.extend(slips_of_grammar(header.file, lines, begin))
        return [], choice
    try:
        if is_table:
            rows = table.rows_below(header.file, lines, begin, game, turned=turned)
            name = Path(header.file).name
            return [table.TableRule(f"the table {name}", begin + 1, game, rows, turned=turned)], choice
        return SheetReader(header.file, lines, game).read(begin), choice
    except BadInput as error:
        header.problems.extend(error.problems)
        return [], choice


def read_sheet_header(lines: list[str], file: str) -> tuple[Header, int]:
    """The header of a rule sheet, and the line (from 0) of its first rule."""
    header = Header(file, HEADER_KEYS)
    for number, line in enumerate(lines):
        text = without_comment(line)
        if text.strip() and not header.take(text, number + 1):
            return header, number
    return header, len(lines)
