"""Games of the family *steps* as TOML files: every key read, and every mistake told."""

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from games.board import FREE, ROW_END, WIDEST, Board, usual_names
from games.cell_names import check_cell_names
from games.codes import FIRST, PLAYERS, SECOND, UNFINISHED, player_named
from games.problems import near_miss, so_many
from games.squares import lines_in_a_row
from games.steps.moves import PASS
from games.steps.points import PATTERNS, Step, drawn_width, steps_of_pattern
from games.steps.rules import (
    BARRED_TO,
    BLOCKED,
    FIRST_MAN,
    LINES_WHILE_PLACING,
    LOSES,
    NEVER,
    WIN,
    WINS,
    Points,
    StepRules,
    in_men,
    steps_in_words,
)
from games.steps.steps import Steps
from games.tomlfile import Table

MOST_POINTS = 26
"""Two bits a point, and room above for what the rules count, house rules and the turn."""
LONGEST_NAME = 3
"""Two names and a hyphen can then be keyed in under house rules that do not say how long a line may be."""
SIDE_SIGNS = ("F", "S")
"""The first player's man and the second's in the rows of a start."""
MOST_GUARDED_MOVES = 3
"""What fits in two bits for each side."""


def read_steps(table: Table, name: str) -> Steps | None:
    """The game that a TOML table of this family describes; None if it has mistakes, which the table has noted.

    The keys are those of docs/games/steps.md.
    """
    before = len(table.problems)
    title, origin = table.text("title", default=name), table.text("from", default="")
    rules = _Reader(table).rules()
    if rules is None or len(table.problems) > before:
        return None
    game = Steps(name, rules, title=title, origin=origin)
    _check_start(table, game)
    return game if len(table.problems) == before else None


def _check_start(table: Table, game: Steps) -> None:
    """A game has to begin: nothing is decided yet, and there is something to move."""
    key = next((key for key in ("start", "barred", "men") if key in table), "")
    start = np.array([game.start], dtype=np.uint64)
    moves = [game.move_names[move] for move in game.moves(start).move]
    if moves in ([], [PASS]):
        who = PLAYERS[game.setting.begins]
        table.wrong(key, f"the {who} player begins and cannot move; expected a start with some move")
    elif game.ending(start)[0] != UNFINISHED:
        table.wrong(key, "the game is over before it begins: a line stands already")


class _Reader:
    """Asks for every key before anything is made of them, so that a misspelt one is found in any case."""

    def __init__(self, table: Table) -> None:
        self.table = table
        before = len(table.problems)
        self.columns = table.whole("columns", least=1, most=26)
        self.rows = table.whole("rows", least=1, most=26)
        self.holes, self.names = table.texts("holes", default=()), table.texts("cells", default=())
        self.is_laid_out = len(table.problems) == before
        self.pattern = table.text("pattern", default="orthogonal", one_of=tuple(PATTERNS))
        self.steps, self.lines = self._lists("steps"), self._lists("lines")
        self.in_a_row = table.whole("in-a-row", default=2, least=2, most=26)
        before = len(table.problems)
        self.start = table.texts("start", default=())
        is_told = len(table.problems) > before or any(
            self.start
        )  # what is wrong with a start is told of the start
        self.men = [
            table.whole("men", default=self._standing(FIRST) or (1 if is_told else None), least=1, most=26)
        ]
        usual = self.men[FIRST] if "men" in table else max(1, self._standing(SECOND))
        self.men.append(table.whole("second-men", default=usual, least=1, most=26))
        self.begins = player_named(table.text("begins", default=PLAYERS[FIRST], one_of=PLAYERS))
        self.lines_while_placing = table.text("lines-while-placing", default=WIN, one_of=LINES_WHILE_PLACING)
        self.blocked = table.text("blocked", default=LOSES, one_of=BLOCKED)
        self.barred = table.texts("barred", default=())
        self.barred_to = table.text("barred-to", default=FIRST_MAN, one_of=BARRED_TO)
        self.guarded = table.texts("guarded", default=())
        self.guarded_moves = table.whole("guarded-moves", default=0, most=MOST_GUARDED_MOVES)

    def _lists(self, key: str) -> list[tuple[str, ...]] | None:
        """The lists of names of a key, none at all where it is missing; None if they are mistaken."""
        before = len(self.table.problems)
        lists = self.table.text_lists(key)
        return lists if len(self.table.problems) == before else None

    def _standing(self, player: int) -> int:
        """How many men of a player the rows of the start show."""
        return "".join(self.start).count(SIDE_SIGNS[player])

    def rules(self) -> StepRules | None:
        """The rules, or None if there is something wrong."""
        board = self._board() if self.is_laid_out else None
        if board is None:
            return None
        rules = StepRules(
            board,
            steps=self._steps(board),
            lines=self._lines(board),
            men=(self.men[FIRST], self.men[SECOND]),
            standing=self._men_that_stand(board),
            begins=self.begins,
            lines_while_placing=self.lines_while_placing,
            blocked=self.blocked,
            barred=self._known(board, "barred", self.barred),
            barred_to=self.barred_to,
            guarded=self._known(board, "guarded", self.guarded),
            guarded_moves=self.guarded_moves,
            in_a_row=self.in_a_row if "in-a-row" in self.table else 0,
        )
        rules = rules._replace(goes=self._goes(rules))
        if not self.table.problems:
            self._check_men(rules)
            self._check_sense(rules)
        return rules

    # The board --------------------------------------------------------------------------------------------

    def _board(self) -> Board | None:
        """The points, or None if there is something wrong with them."""
        before, wrong = len(self.table.problems), self.table.wrong
        grid = usual_names(self.columns, self.rows)
        for name in self.holes:
            if name not in grid:
                wrong("holes", f"there is no place '{name}' on a grid of {self.columns} x {self.rows}")
        if len(set(self.holes)) != len(self.holes):
            wrong("holes", "'holes' names a place twice; expected each once")
        board = Board(self.columns, self.rows, self.names, [grid.index(n) for n in self.holes if n in grid])
        if len(self.table.problems) > before:
            return None
        if not 2 <= board.size <= MOST_POINTS:
            wrong("columns", f"the board has {so_many(board.size, 'point')}; expected 2 to {MOST_POINTS}")
            return None
        check_cell_names(self.table, board, LONGEST_NAME)
        if len(self.table.problems) == before and drawn_width(board) > WIDEST:
            wrong(
                "columns",
                f"the board would be {drawn_width(board)} characters wide; expected at most {WIDEST}: "
                "fewer columns or shorter names",
            )
        return board if len(self.table.problems) == before else None

    def _men_that_stand(self, board: Board) -> tuple[Points, Points]:
        """The men of both sides where the rows of the start show them."""
        if not self.start:  # either there is none, or it is no list of texts, which has been told
            return (), ()
        try:
            signs = board.read_signs(ROW_END.join(self.start), (*SIDE_SIGNS, FREE))
        except ValueError as error:
            self.table.wrong("start", f"these are no rows of this board: {error}")
            return (), ()
        first, second = ([p for p, found in enumerate(signs) if found == sign] for sign in SIDE_SIGNS)
        if not first and "men" not in self.table:
            self.table.wrong("start", "no man of the first player stands here; expected some F, or men = ...")
        return tuple(first), tuple(second)

    def _known(self, board: Board, key: str, names: Sequence[str]) -> Points:
        """The points of a list of names; unknown ones and those that come twice are noted."""
        for name in names:
            if name not in board.names:
                self.table.wrong(
                    key, f"'{key}' names '{name}', and there is no such point{near_miss(name, board.names)}"
                )
        if len(set(names)) != len(names):
            self.table.wrong(key, f"'{key}' names a point twice; expected each once")
        return tuple(board.names.index(name) for name in names if name in board.names)

    # Steps and lines --------------------------------------------------------------------------------------

    def _steps(self, board: Board) -> tuple[Step, ...]:
        """The pairs of joined points, of the pattern or of the paths that are given."""
        if "steps" not in self.table:
            return tuple(steps_of_pattern(board, self.pattern))
        if "pattern" in self.table:
            self.table.wrong("steps", "both 'steps' and 'pattern' are given; expected one of them")
        steps: list[Step] = []
        for names in self.steps or ():
            path = self._path(board, "steps", names, "a path of steps")
            for start, end in pairwise(path):
                step = (min(start, end), max(start, end))
                if start == end:
                    self.table.wrong("steps", f"a step leads from '{board.names[start]}' to itself")
                elif step in steps:
                    joined = f"{board.names[start]} and {board.names[end]}"
                    self.table.wrong("steps", f"{joined} are joined twice; expected each step once")
                else:
                    steps.append(step)
        if self.steps == []:
            self.table.wrong("steps", "there are no steps; expected at least one")
        return tuple(sorted(steps))

    def _lines(self, board: Board) -> tuple[Points, ...]:
        """The lines, in a row or of the game's own; none if neither key is there."""
        if "lines" in self.table and "in-a-row" in self.table:
            self.table.wrong("lines", "both 'lines' and 'in-a-row' are given; expected one of them")
        if "in-a-row" in self.table:
            return self._lines_in_a_row(board)
        lines: list[Points] = []
        for names in self.lines or ():
            line = tuple(sorted(self._path(board, "lines", names, "a line")))
            if len(set(line)) != len(line):
                self.table.wrong("lines", f"the line {', '.join(names)} goes through a point twice")
            elif line and line in lines:
                self.table.wrong("lines", f"the line {', '.join(names)} is given twice; expected each once")
            elif line:
                lines.append(line)
        if "lines" in self.table and self.lines == []:
            self.table.wrong("lines", "there are no lines; expected at least one, or no key 'lines'")
        return tuple(lines)

    def _lines_in_a_row(self, board: Board) -> tuple[Points, ...]:
        lines = tuple(lines_in_a_row(board, self.in_a_row))
        if not lines:
            self.table.wrong("in-a-row", f"no line of {self.in_a_row} points fits on this board")
        return lines

    def _path(self, board: Board, key: str, names: Sequence[str], what: str) -> Points:
        """The points of a line or a path; none if it has a mistake, which is noted."""
        unknown = [name for name in names if name not in board.names]
        if unknown:
            known = near_miss(unknown[0], board.names)
            self.table.wrong(key, f"{what} goes through '{unknown[0]}', and there is no such point{known}")
        elif len(names) < 2:
            self.table.wrong(key, f"{what} is {', '.join(names) or 'empty'}; expected two points or more")
        else:
            return tuple(board.names.index(name) for name in names)
        return ()

    def _goes(self, rules: StepRules) -> str:
        """How a man goes, in words."""
        if "steps" in self.table:
            return steps_in_words(rules.board, rules.steps)
        return PATTERNS[self.pattern][1]

    # Checks -----------------------------------------------------------------------------------------------

    def _check_men(self, rules: StepRules) -> None:
        """The men have room, and those that stand are not more than there are."""
        wrong = self.table.wrong
        for key, player in (("men", FIRST), ("second-men", SECOND)):
            if rules.in_hand[player] < 0:
                stand = len(rules.standing[player])
                key_there = key if key in self.table else "men"
                wrong(
                    key_there,
                    f"the {PLAYERS[player]} player has {in_men(rules.men[player])}, but {stand} stand on the board",
                )
        if sum(rules.men) > rules.board.size:
            key = "men" if "men" in self.table else "columns"
            wrong(key, f"{sum(rules.men)} men do not fit on {rules.board.size} points")

    def _check_sense(self, rules: StepRules) -> None:
        """Nothing is asked for that could never matter, and somebody can win."""
        there, wrong = self.table, self.table.wrong
        places = any(count > 0 for count in rules.in_hand)
        if rules.lines and min(map(len, rules.lines)) > max(rules.men):
            length = min(map(len, rules.lines))
            key = "in-a-row" if "in-a-row" in there else "lines"
            most = in_men(max(rules.men))
            wrong(key, f"every line has {length} points or more, and nobody has more than {most}")
        if not rules.lines and rules.blocked not in (LOSES, WINS):
            wrong("blocked", "nobody can win: there are no lines, and nobody wins or loses by being blocked")
        counts = places or rules.lines_while_placing == NEVER  # a line at the start is like one placed
        if "lines-while-placing" in there and not (counts and rules.lines):
            wrong(
                "lines-while-placing", "'lines-while-placing' is for games with lines in which men are placed"
            )
        if rules.barred and any(rules.standing):
            wrong(
                "barred", "'barred' is for the first man placed on an empty board, and here men stand already"
            )
        for key, needed in (("barred-to", "barred"), ("guarded-moves", "guarded")):
            if key in there and needed not in there:
                wrong(key, f"'{key}' is given but '{needed}' is not; expected both or neither")
