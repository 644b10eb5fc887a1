"""A least strategy as the file that a person would have written: a table, or a sheet with the table beside it."""

from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

from games.codes import PLAYERS
from solver.load import read_sheet_header
from solver.strategy import CHOICES, OPEN, PLAIN, TURNED
from solver.table import TITLES, Row


class Heading(NamedTuple):
    """What a strategy file says above its rows or rules; `game` and `house_rules` as the user names them."""

    game: str
    seat: int
    claim: str
    house_rules: str

    def lines(self) -> list[str]:
        """The header's lines."""
        return [
            f"game: {self.game}",
            f"seat: {PLAYERS[self.seat]}",
            f"claim: {self.claim}",
            f"house-rules: {self.house_rules}",
        ]

    def above(self, sheet: str, choice: str | None = None) -> str:
        """A rule sheet's text with this header in place of its own; `choice` settles what its rules leave open."""
        lines = sheet.split("\n")
        header, begin = read_sheet_header(lines, "")
        settled = choice or header.word("choice", CHOICES, OPEN)
        return "\n".join([*self.lines(), f"choice: {settled}", "", *lines[begin:]])


def table_text(
    heading: Heading, rows: Sequence[Row], names: Sequence[str], remark: str, *, turned: bool
) -> str:
    """A table of stored answers, as CSV; `names` are the game's moves, `remark` is one line for readers."""
    turning = f"turning: {TURNED if turned else PLAIN}"
    written = [f"{row.position},{names[row.move]}" for row in rows]
    return "\n".join([f"# {remark}", *heading.lines(), turning, "", ",".join(TITLES), *written, ""])


def use_table(table: str | Path) -> str:
    """The rule that answers by a table, whose file stands beside the sheet."""
    return f'use table "{Path(table).name}"\n'
