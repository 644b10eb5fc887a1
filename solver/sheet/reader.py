"""Reading a rule sheet: a header, then one rule a line; below a picture or weights come rows."""

import os
import re
from collections.abc import Callable, Sequence
from pathlib import Path

from games.board import FREE, HOLE, MINE, VISITORS
from games.game import Game, LineGame, with_lines
from games.problems import BadInput, Problem, listed
from solver import meanings as means
from solver.search import SearchRule
from solver.sheet import rules as made
from solver.sheet.named import named_cells
from solver.sheet.parser import BEGINNINGS, Piece, Tree, parse_rule, parse_weight
from solver.sheet.weight_rows import weighs, weight_rows
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
_LONG_DASHES = ("\u2010", "\u2011", "\u2012", "\u2013", "\u2014", "\u2212")


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
            last = max(number for number, line in enumerate(self.lines, 1) if line.strip() or number == 1)
            self._wrong(last, 0, "expected at least one rule, such as 'take any free cell'")
        if self.problems:
            raise BadInput(self.problems)
        return self.rules

    def _wrong(self, line: int, column: int, message: str, shown: str = "") -> None:
        self.problems.append(Problem(self.file, line, column, message, shown))

    def _read_rule(self, text: str, at: int) -> int:
        """Read the rule that begins on line `at`; say where the next may begin."""
        tree = parse_rule(text, self.file, at + 1)
        if isinstance(tree, Problem):
            self.problems.append(self._with_cell_hint(_with_header_hint(tree, text), text))
        else:
            rule = self._rule(tree, text, at + 1)
            if rule is not None:
                self.rules.append(rule)
        return end_of_rule(self.lines, at)

    def _with_cell_hint(self, problem: Problem, text: str) -> Problem:
        """A cell may be called ``a``, but right behind *take* that is the article: then another rule is named."""
        names = () if self.marks is None else [name.lower() for name in self.marks.board.names]
        word = re.match(r"\s*take\s+(a|an|any|the)\b", text, re.IGNORECASE)
        if word and word[1].lower() in names:
            problem.message += f"; for the cell called '{word[1]}' write 'take the first free of {word[1]}'"
        return problem

    def _rule(self, tree: Tree, text: str, line: int) -> Rule | None:
        if tree.name == "look_ahead":
            return self._search(tree, text, line)
        if tree.name == "use_table":
            return self._table(tree, text, line)
        if self.marks is None:
            self._no_marks(text, line)
            return None
        return self._rule_of_marks(self.marks, tree, text, line)

    def _rule_of_marks(self, game: LineGame, tree: Tree, text: str, line: int) -> Rule | None:
        """A rule that makes sense only in a game of marks and lines."""
        words = " ".join(text.split())
        if tree.name.startswith("picture"):
            return self._read_picture(game, tree, words, line)
        if tree.name == "take_heaviest":
            return self._read_weights(game, words, line)
        if tree.name == "take_first_free":
            named = self._named_cells(game, tree, text, line)
            if named is None:
                return None
            return made.FirstOfRule(game, words, line, means.FirstOf(tuple(named)))
        meaning = self._cells(game, tree, text, line)
        return None if meaning is None else made.CellRule(game, words, line, meaning)

    def _no_marks(self, text: str, line: int) -> None:
        self._wrong(
            line,
            1,
            f"'{' '.join(text.split())}' makes no sense in {self.game.title}, which is no game of marks and lines; "
            "expected 'look ahead ...' or 'use table ...'",
            text,
        )

    def _cells(self, game: LineGame, tree: Tree, text: str, line: int) -> made.CellMeaning | None:
        """What a rule about cells means in this game, or None and a problem."""
        if tree.name in LINE_RULES:
            return LINE_RULES[tree.name](game, tree)
        if tree.name in GROUP_RULES:
            return self._group(game, GROUP_RULES[tree.name], text, line)
        if tree.name == "take_opposite":
            return self._opposite(game, text, line)
        named = self._named_cells(game, tree, text, line)
        return None if named is None else means.AnyOf(tuple(named))

    def _opposite(self, game: LineGame, text: str, line: int) -> means.OppositeCorner | None:
        pairs = made.opposite_corners(game.board)
        if not pairs:
            self._wrong(line, 1, "this board has no opposite corners; expected another rule", text)
            return None
        return means.OppositeCorner(pairs)

    def _group(self, game: LineGame, group: str, text: str, line: int) -> means.AnyOf | None:
        cells = game.board.groups()[group]
        if not cells:
            self._wrong(line, 1, f"this board has no {group}; expected another rule", text)
            return None
        return means.AnyOf(cells)

    def _named_cells(self, game: LineGame, tree: Tree, text: str, line: int) -> list[int] | None:
        [group] = tree.parts
        assert isinstance(group, Tree)
        cells = named_cells(game.board, group, self.file, line, text)
        if isinstance(cells, Problem):
            self.problems.append(cells)
            return None
        return cells

    def _search(self, tree: Tree, text: str, line: int) -> Rule | None:
        [plies] = tree.parts
        assert isinstance(plies, Piece)
        if len(plies.text) > len(str(MOST_PLIES)) or not 1 <= int(plies.text) <= MOST_PLIES:
            self._wrong(line, plies.column, f"expected 1 to {MOST_PLIES} plies, not {plies.text}", text)
            return None
        return SearchRule(" ".join(text.split()), line, means.LooksAhead(int(plies.text)))

    def _table(self, tree: Tree, text: str, line: int) -> Rule | None:
        [name] = tree.parts
        assert isinstance(name, Piece)
        path = Path(self.file).parent / name.text.strip('"')
        if not os.path.isfile(path):  # noqa: PTH113 - pathlib's own raises where a name is too long
            message = f"there is no table file {name.text}; expected one beside this sheet"
            self._wrong(line, name.column, message, text)
            return None
        try:
            rows, turned = read_rows(path, self.game)
        except BadInput as error:
            self.problems.extend(error.problems)
            return None
        return TableRule(" ".join(text.split()), line, self.game, rows, turned=turned)

    def _read_weights(self, game: LineGame, words: str, line: int) -> Rule | None:
        """Read the weights below the words *take the heaviest cell*."""
        rows = weight_rows(self.lines, line)
        if not rows:
            self._wrong(line, 0, f"expected weights such as '3 for a corner' right below '{words}'")
            return None
        from solver.sheet.weight_reader import WeightReader  # few sheets weigh
        from solver.sheet.weights import HeaviestRule

        reader = WeightReader(self.file, game)
        weights = reader.read(rows)
        self.problems.extend(reader.problems)
        said = "; ".join(" ".join(row.split()) for _, row in rows)
        return HeaviestRule(game, f"{words}: {said}", line, means.Heaviest(tuple(weights)))

    def _read_picture(self, game: LineGame, tree: Tree, words: str, line: int) -> Rule | None:
        """Read the rows below the word ``picture``: as many as the board has."""
        board = game.board
        rows = picture_rows(self.lines, line)
        if len(rows) != board.rows:
            has = f"{len(rows) or 'no'} row{'s' * (len(rows) != 1)}"
            expected = f"{board.rows} rows of {board.columns} signs right below 'picture'"
            self._wrong(line, 0, f"this picture has {has}; expected {expected}")
            return None
        picture = self._picture(game, rows, line)
        if picture is None:
            return None
        meaning = means.FindsPicture(picture, is_fixed=tree.name == "picture_fixed")
        drawn = "/".join("".join(row.split()) for _, row in rows)
        return made.CellRule(game, f"{words} {drawn}", line, meaning)

    def _picture(self, game: LineGame, rows: Sequence[tuple[int, str]], begin: int) -> means.Picture | None:
        sets = dict.fromkeys(SIGNS, 0)
        before = len(self.problems)
        for number, (line, row) in enumerate(rows):
            signs = [(sign, column) for column, sign in enumerate(row, 1) if not sign.isspace()]
            if len(signs) != game.board.columns:
                self._wrong(
                    line,
                    0,
                    f"this row has {len(signs)} sign{'s' * (len(signs) != 1)}; expected {game.board.columns}",
                )
                continue
            for place, (sign, column) in enumerate(signs):
                is_cell = game.board.has(place, number)
                if is_cell and sign in SIGNS:
                    sets[sign] |= 1 << game.board.cell(place, number)
                elif is_cell:
                    self._wrong(line, column, _no_sign(sign), row)
                elif sign != HOLE:
                    self._wrong(line, column, f"there is a hole here; expected '{HOLE}', not '{sign}'", row)
        if len(self.problems) > before:
            return None
        targets = sets[TARGET].bit_count()
        if targets != 1:
            has = f"{targets or 'no'} cell{'s' * (targets > 1)} marked '{TARGET}' (play here)"
            self._wrong(begin, 0, f"this picture has {has}; expected just one")
            return None
        return means.Picture(sets[MINE], sets[VISITORS], sets[FREE], sets[TARGET])


def _no_sign(sign: str) -> str:
    """What is said about a sign that no picture has."""
    meant = "-" if sign in _LONG_DASHES else sign.upper()
    hint = f"; did you mean '{meant}'?" if meant in SIGNS else ""
    known = listed([f"{sign} ({words})" for sign, words in SIGNS.items()])
    return f"'{sign}' is no sign of a picture; expected {known}{hint}"


def _ways(tree: Tree) -> tuple[tuple[str, ...], ...]:
    """The groups of ways that a rule names, in order."""
    return tuple(
        tuple(way.name for way in group.parts if isinstance(way, Tree))
        for group in tree.parts
        if isinstance(group, Tree)
    )


LINE_RULES: dict[str, Callable[[LineGame, Tree], made.CellMeaning]] = {
    "complete_line": lambda game, tree: means.FillsALine(means.MINE),
    "block_line": lambda game, tree: means.FillsALine(means.VISITORS),
    "make_double_threat": lambda game, tree: means.MakesDoubleThreat(),
    "stop_double_threat": lambda game, tree: means.StopsDoubleThreat(_ways(tree) or means.USUAL_WAYS),
    "take_any": lambda game, tree: means.AnyOf(tuple(range(game.board.size))),
}
GROUP_RULES = {"take_centre": "centre", "take_corner": "corners", "take_edge": "edges"}


def without_comment(line: str) -> str:
    """The line without what stands behind a ``#``."""
    return line.partition("#")[0].rstrip()


def slips_of_grammar(file: str, lines: Sequence[str], begin: int) -> list[Problem]:
    """What is wrong with the rules from line `begin` (from 0) on whatever game they are for."""
    slips = []
    at = begin
    while at < len(lines):
        text = without_comment(lines[at])
        tree = parse_rule(text, file, at + 1) if text.strip() else None
        if isinstance(tree, Problem):
            slips.append(_with_header_hint(tree, text))
        if weighs(text):
            read = (parse_weight(row, file, number) for number, row in weight_rows(lines, at + 1))
            slips += [problem for problem in read if isinstance(problem, Problem)]
        at = end_of_rule(lines, at)
    return slips


def end_of_rule(lines: Sequence[str], at: int) -> int:
    """The line behind the rule that stands on line `at` (both from 0): pictures and weights take their rows along."""
    words = without_comment(lines[at])
    is_picture = words.lower().split()[:1] == ["picture"]
    rows = picture_rows(lines, at + 1) if is_picture else weight_rows(lines, at + 1) if weighs(words) else []
    return rows[-1][0] if rows else at + 1


def picture_rows(lines: Sequence[str], begin: int) -> list[tuple[int, str]]:
    """The rows of a picture from line `begin` (from 0) on, each with its line counted from 1; empty lines are skipped.

    All that look like rows are taken, be they as many as the board has or not.
    """
    rows = []
    for number in range(begin, len(lines)):
        row = without_comment(lines[number])
        if not row.strip():
            continue
        if not _looks_like_signs(row):
            break
        rows.append((number + 1, row))
    return rows


def _looks_like_signs(row: str) -> bool:
    """Whether a line is meant as a row of a picture: single signs, or one word that begins no rule."""
    words = row.lower().split()
    if len(words) == 1:
        return words[0] not in BEGINNINGS
    return all(len(word) == 1 for word in words) or set("".join(row.split())) <= {*SIGNS, HOLE}


def _with_header_hint(problem: Problem, text: str) -> Problem:
    """A line that belongs in the header is told so."""
    word = text.replace(":", " ").split(maxsplit=1)[0].lower() if text.strip(" \t:") else ""
    if word not in HEADER_KEYS:
        return problem
    hint = f"'{' '.join(text.split())}' belongs in the header, above the rules"
    if ":" not in text:
        hint += f", and with a colon, such as '{word}: {HEADER_KEYS[word]}'"
    return Problem(problem.file, problem.line, 1, hint, text)
