"""A table: for each position the move, as CSV that a person can read and type.

Behind a header of ``key: value`` lines comes the line ``position,move``, then a row for each position.  A
*plain* table is looked up by the board as it stands; a *turned* one by its least image, so that one row
serves all turned and mirrored boards.
"""

from pathlib import Path
from typing import NamedTuple

import numpy as np

from games.codes import FIRST, Codes, MoveIds
from games.game import Game, inverse_symmetries, least_images
from games.problems import BadInput, Problem, bad
from games.tomlfile import read_text
from solver.header import Header
from solver.meanings import LooksUp
from solver.strategy import PLAIN, TURNED, Allowed, View

HEADER_KEYS = {
    "game": "noughts-and-crosses",
    "seat": "second",
    "claim": "never-loses",
    "house-rules": "usual",
    "turning": TURNED,
}
TITLES = ("position", "move")


class Row(NamedTuple):
    """One row: the position as it is written, and the move."""

    position: str
    move: int


class TableRule:
    """A strategy's rule that looks its moves up; `turned` says by least images."""

    __slots__ = ("_game", "_rows", "_sorted", "line", "meaning", "text")
    stores_answers = True

    def __init__(self, text: str, line: int, game: Game, rows: list[Row], *, turned: bool) -> None:
        self.text = text
        self.line = line
        self.meaning = LooksUp(turned)
        self._game = game
        self._rows = rows
        self._sorted: dict[int, tuple[Codes, MoveIds]] = {}

    def _rows_for(self, seat: int) -> tuple[Codes, MoveIds]:
        """The rows for a machine in a seat: a position need not be one for the other."""
        if seat not in self._sorted:
            self._sorted[seat] = _sorted_rows(self._game, self._rows, seat, turned=self.meaning.is_turned)
        return self._sorted[seat]

    def allowed(self, view: View) -> Allowed:
        """The stored move of each position that has one."""
        codes, moves = self._rows_for(view.seat)
        if not len(codes):
            return Allowed(np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.uint16))
        wanted, by = least_images(view.game, view.codes) if self.meaning.is_turned else (view.codes, None)
        row = np.minimum(np.searchsorted(codes, wanted), len(codes) - 1)
        place = np.nonzero(codes[row] == wanted)[0]
        move = moves[row[place]]
        if by is not None:
            back = inverse_symmetries(view.game)
            for symmetry in np.unique(by[place]):
                those = by[place] == symmetry
                move[those] = view.game.turned_move(back[int(symmetry)], move[those])
        return Allowed(place, move)


def _sorted_rows(game: Game, rows: list[Row], seat: int, *, turned: bool) -> tuple[Codes, MoveIds]:
    """The rows as codes with `seat` to move, sorted; on their least images in a turned table."""
    codes = np.array([game.read(row.position, seat, seat) for row in rows], dtype=np.uint64)
    moves = np.array([row.move for row in rows], dtype=np.uint16)
    if turned and len(codes):
        codes, by = least_images(game, codes)
        for symmetry in np.unique(by):
            those = by == symmetry
            moves[those] = game.turned_move(int(symmetry), moves[those])
    order = np.argsort(codes)
    return codes[order], moves[order]


def read_rows(path: str | Path, game: Game) -> tuple[list[Row], bool]:
    """The rows of a table file, and whether it is a turned one.  Raises BadInput with every mistake."""
    lines = read_text(path).split("\n")
    header, begin = read_header(lines, str(path))
    turned = header.word("turning", (PLAIN, TURNED), TURNED) == TURNED
    played = header.entries.get("game")
    if played and Path(played.value).stem != game.name:
        message = f"this table is for {Path(played.value).stem}; expected one for {game.name}"
        raise bad(message, str(path), played.line, played.column)
    header.raise_problems()
    return rows_below(str(path), lines, begin, game, turned=turned), turned


def rows_below(file: str, lines: list[str], begin: int, game: Game, *, turned: bool) -> list[Row]:
    """The rows of a whole table, whose titles stand on line `begin` (from 0); one at least."""
    rows = TableReader(file, lines, game).read(begin, turned=turned)
    if not rows:
        raise bad("expected at least one row below 'position,move'", file, begin + 1)
    return rows


def read_header(lines: list[str], file: str) -> tuple[Header, int]:
    """The header of a table, and the line (from 0) of its titles; a spreadsheet's empty cells behind are dropped."""
    header = Header(file, HEADER_KEYS)
    for number, line in enumerate(lines):
        text = line.rstrip(",; \t")
        if not text.strip() or text.lstrip().startswith("#"):
            continue
        if not header.take(text, number + 1):
            return header, number
    return header, len(lines)


def are_titles(line: str) -> bool:
    """Whether a line is ``position,move``, which stands above a table's rows."""
    comma = ";" if ";" in line else ","
    return tuple(title.strip().lower() for title in line.split(comma)[:2]) == TITLES


class TableReader:
    """Reads the rows below a table's titles; problems are gathered so that all are told at once."""

    def __init__(self, file: str, lines: list[str], game: Game) -> None:
        self.file = file
        self.lines = lines
        self.game = game
        self.problems: list[Problem] = []

    def _wrong(self, line: int, message: str) -> None:
        self.problems.append(Problem(self.file, line, 0, message))

    def read(self, begin: int, *, turned: bool) -> list[Row]:
        """The rows below line `begin` (from 0), which must hold the titles."""
        titles = self.lines[begin] if begin < len(self.lines) else ""
        comma = ";" if ";" in titles else ","
        if not are_titles(titles):
            last = max(number for number, line in enumerate(self.lines, 1) if line.strip() or number == 1)
            self._wrong(min(begin + 1, last), "expected the line 'position,move' above the rows")
            raise BadInput(self.problems)
        rows: list[Row] = []
        seen: dict[int, int] = {}
        for number in range(begin + 1, len(self.lines)):
            text = self.lines[number].strip()
            if not text.strip(",;") or (text.startswith("#") and not self._is_row(text, comma)):
                continue
            row = self._row(text, comma, number + 1)
            if row is not None and self._is_new(row, number + 1, seen, turned=turned):
                rows.append(row)
        if self.problems:
            raise BadInput(self.problems)
        return rows

    def _is_row(self, text: str, comma: str) -> bool:
        """Whether a line that looks like a remark is a row: there are games in whose positions ``#`` stands."""
        try:
            self.game.read(text.split(comma, maxsplit=1)[0].strip(), FIRST, FIRST)
        except ValueError:
            return False
        return True

    def _row(self, text: str, comma: str, line: int) -> Row | None:
        fields = [field.strip().strip('"') for field in text.split(comma)]
        given = len([field for field in fields if field])
        if given != 2 or not all(fields[:2]):
            has = f"{given} field{'s' * (given != 1)}"
            self._wrong(line, f"this row has {has}; expected a position and a move divided by '{comma}'")
            return None
        try:
            self.game.read(fields[0], FIRST, FIRST)
        except ValueError as error:
            self._wrong(line, str(error))
            return None
        names = {name.lower(): move for move, name in enumerate(self.game.move_names)}
        move = names.get(fields[1].lower())
        if move is None:
            self._wrong(
                line,
                f"'{fields[1]}' is no move of {self.game.name}; expected one of "
                f"{', '.join(self.game.move_names)}",
            )
            return None
        return Row(fields[0], move)

    def _is_new(self, row: Row, line: int, seen: dict[int, int], *, turned: bool) -> bool:
        code = np.array([self.game.read(row.position, FIRST, FIRST)], dtype=np.uint64)
        key = int((least_images(self.game, code)[0] if turned else code)[0])
        if key in seen:
            same = "this position, turned or mirrored," if turned else "this position"
            self._wrong(line, f"{same} has a move already, on line {seen[key]}; expected each once")
            return False
        seen[key] = line
        return True
