"""Reading a rule sheet: a header, then one rule a line; a picture goes on for as many lines as the board has rows."""

import re
from collections.abc import Callable, Sequence
from pathlib import Path

from games.board import FREE, MINE, VISITORS
from games.game import Game, LineGame, with_lines
from games.problems import BadInput, Problem, listed, near_miss
from solver.search import SearchRule
from solver.sheet import rules as made
from solver.sheet.parser import Piece, Tree, parse_rule
from solver.strategy import Rule
from solver.table import TableRule, read_rows

ANY, TARGET = "-", "!"
SIGNS = {
    MINE: "a mark of mine",
    VISITORS: "a mark of the visitor's",
    FREE: "a free cell",
    ANY: "any cell",
    TARGET: "play here",
}
MOST_PLIES = 100
HEADER_KEYS = {
    "game": "noughts-and-crosses",
    "seat": "second",
    "claim": "never-loses",
    "house-rules": "usual",
    "choice": "plain",
}
"""The keys of a sheet's header, each with an example."""
_PICTURE_ROW = re.compile(r"\s*[^\s:#]+(\s+[^\s:#])*\s*$")


class SheetReader:
    """Reads the rules of one sheet; problems are gathered so that all are told at once."""

    def __init__(self, file: str, lines: Sequence[str], game: Game) -> None:
        self.file = file
        self.lines = lines
        self.game = game
        self.marks = with_lines(game)
        self.problems: list[Problem] = []
        self.rules: list[Rule] = []

    def read(self, begin: int) -> list[Rule]:
        """The rules from line `begin` (counted from 0) to the end; raises BadInput with all mistakes."""
        at = begin
        while at < len(self.lines):
            text = without_comment(self.lines[at])
            at = self._read_rule(text, at) if text.strip() else at + 1
        if not self.rules and not self.problems:
            self._wrong(len(self.lines), 0, "expected at least one rule, such as 'take any free cell'")
        if self.problems:
            raise BadInput(self.problems)
        return self.rules

    def _wrong(self, line: int, column: int, message: str, shown: str = "") -> None:
        self.problems.append(Problem(self.file, line, column, message, shown))

    def _read_rule(self, text: str, at: int) -> int:
        """Read the rule that begins on line `at`; say where the next may begin."""
        tree = parse_rule(text, self.file, at + 1)
        if isinstance(tree, Problem):
            self.problems.append(_with_colon_hint(tree, text))
            return at + 1
        if tree.name.startswith("picture"):
            if self.marks is None:
                self._no_marks(text, at + 1)
                return at + 1
            return self._read_picture(self.marks, tree, text, at)
        rule = self._rule(tree, text, at + 1)
        if rule is not None:
            self.rules.append(rule)
        return at + 1

    def _rule(self, tree: Tree, text: str, line: int) -> Rule | None:
        words = " ".join(text.split())
        if tree.name == "look_ahead":
            return self._search(tree, words, line)
        if tree.name == "use_table":
            return self._table(tree, words, line)
        if self.marks is None:
            self._no_marks(text, line)
            return None
        cells = self._cells(self.marks, tree, text, line)
        return None if cells is None else made.CellRule(self.marks, words, line, cells)

    def _no_marks(self, text: str, line: int) -> None:
        self._wrong(
            line,
            1,
            f"'{' '.join(text.split())}' makes no sense in {self.game.title}, which is no game of marks and lines; "
            "expected 'look ahead ...' or 'use table ...'",
            text,
        )

    def _cells(self, game: LineGame, tree: Tree, text: str, line: int) -> made.Cells | None:
        """What a rule about cells allows in this game, or None and a problem."""
        if tree.name in LINE_RULES:
            return LINE_RULES[tree.name](game, tree)
        if tree.name in GROUP_RULES:
            return self._group(game, GROUP_RULES[tree.name], text, line)
        if tree.name == "take_opposite":
            return made.opposite_corner(game.board)
        named = self._named_cells(game, tree, text, line)
        if named is None:
            return None
        return made.first_free_of(named) if tree.name == "take_first_free" else made.one_of(named)

    def _group(self, game: LineGame, group: str, text: str, line: int) -> made.Cells | None:
        cells = game.board.groups()[group]
        if not cells:
            self._wrong(line, 1, f"this board has no {group}; expected another rule", text)
            return None
        return made.one_of(cells)

    def _named_cells(self, game: LineGame, tree: Tree, text: str, line: int) -> list[int] | None:
        known = game.board.names
        names = {name.lower(): cell for cell, name in enumerate(known)}
        [group] = tree.parts
        assert isinstance(group, Tree)
        found = []
        for piece in group.parts:
            assert isinstance(piece, Piece)
            cell = names.get(piece.text.lower())
            if cell is None:
                self._wrong(
                    line,
                    piece.column,
                    f"there is no cell '{piece.text}' on this board; expected one of "
                    f"{', '.join(known)}{near_miss(piece.text, known)}",
                    text,
                )
                return None
            if cell in found:
                self._wrong(
                    line, piece.column, f"cell '{piece.text}' is named twice; expected each once", text
                )
                return None
            found.append(cell)
        return found

    def _search(self, tree: Tree, words: str, line: int) -> Rule | None:
        [plies] = tree.parts
        assert isinstance(plies, Piece)
        if not 1 <= int(plies.text) <= MOST_PLIES:
            self._wrong(line, plies.column, f"expected 1 to {MOST_PLIES} plies, not {plies.text}", words)
            return None
        return SearchRule(words, line, int(plies.text))

    def _table(self, tree: Tree, words: str, line: int) -> Rule | None:
        [name] = tree.parts
        assert isinstance(name, Piece)
        path = Path(self.file).parent / name.text.strip('"')
        if not path.is_file():
            self._wrong(
                line,
                name.column,
                f"there is no table file {name.text}; expected one beside this sheet",
                words,
            )
            return None
        try:
            rows, turned = read_rows(path, self.game)
        except BadInput as error:
            self.problems.extend(error.problems)
            return None
        return TableRule(words, line, self.game, rows, turned=turned)

    def _read_picture(self, game: LineGame, tree: Tree, text: str, at: int) -> int:
        """Read the rows below the word ``picture``: as many as the board has."""
        board = game.board
        rows: list[str] = []
        end = at + 1
        while end < len(self.lines) and len(rows) < board.rows:
            row = without_comment(self.lines[end])
            if not _PICTURE_ROW.match(row) or not _looks_like_signs(row):
                break
            rows.append(row)
            end += 1
        if len(rows) < board.rows:
            self._wrong(
                at + 1 + len(rows),
                0,
                f"this picture has {len(rows)} rows; expected {board.rows} rows of "
                f"{board.columns} signs right below 'picture'",
            )
            return end
        picture = self._picture(game, rows, at + 1)
        if picture is not None:
            cells = made.picture_rule(game, picture, fixed=tree.name == "picture_fixed")
            words = f"{' '.join(text.split())} {'/'.join(row.replace(' ', '') for row in rows)}"
            self.rules.append(made.CellRule(game, words, at + 1, cells))
        return end

    def _picture(self, game: LineGame, rows: Sequence[str], begin: int) -> made.Picture | None:
        sets = dict.fromkeys(SIGNS, 0)
        before = len(self.problems)
        for number, row in enumerate(rows):
            signs = [(sign, column) for column, sign in enumerate(row, 1) if not sign.isspace()]
            line = begin + number + 1
            if len(signs) != game.board.columns:
                self._wrong(line, 0, f"this row has {len(signs)} signs; expected {game.board.columns}")
                continue
            for place, (sign, column) in enumerate(signs):
                if sign not in SIGNS:
                    meaning = listed([f"{known} ({words})" for known, words in SIGNS.items()])
                    self._wrong(line, column, f"'{sign}' is no sign of a picture; expected {meaning}", row)
                else:
                    sets[sign] |= 1 << game.board.cell(place, number)
        if len(self.problems) > before:
            return None
        if sets[TARGET].bit_count() != 1:
            self._wrong(
                begin,
                0,
                f"this picture has {sets[TARGET].bit_count()} cells marked '{TARGET}' (play here); "
                "expected just one",
            )
            return None
        return made.Picture(sets[MINE], sets[VISITORS], sets[FREE], sets[TARGET])


def _ways(tree: Tree) -> list[list[str]]:
    """The groups of ways that a rule names, in order."""
    return [
        [way.name for way in group.parts if isinstance(way, Tree)]
        for group in tree.parts
        if isinstance(group, Tree)
    ]


LINE_RULES: dict[str, Callable[[LineGame, Tree], made.Cells]] = {
    "complete_line": lambda game, tree: made.complete_line(game),
    "block_line": lambda game, tree: made.block_line(game),
    "make_double_threat": lambda game, tree: made.make_double_threat(game),
    "stop_double_threat": lambda game, tree: made.stop_double_threat(game, _ways(tree) or made.USUAL_WAYS),
    "take_any": lambda game, tree: made.one_of(range(game.board.size)),
}
GROUP_RULES = {"take_centre": "centre", "take_corner": "corners", "take_edge": "edges"}


def without_comment(line: str) -> str:
    """The line without what stands behind a ``#``."""
    return line.partition("#")[0].rstrip()


def _looks_like_signs(row: str) -> bool:
    """Whether a line is meant as a row of a picture: single signs, or one word about as long as the board is wide."""
    words = row.split()
    return all(len(word) == 1 for word in words) or (len(words) == 1 and set(words[0]) <= set(SIGNS))


def _with_colon_hint(problem: Problem, text: str) -> Problem:
    """A header line whose colon was forgotten is told so."""
    word = text.split(maxsplit=1)[0].lower() if text.split() else ""
    if word in HEADER_KEYS:
        hint = f"expected '{word}:' with a colon, such as '{word}: {HEADER_KEYS[word]}', and above the rules"
        return Problem(problem.file, problem.line, 1, hint, text)
    return problem
