"""What sets one game of the family *steps* apart: its rules as data, and in words."""

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from games.board import HOLE, Board
from games.codes import FIRST, PLAYERS, SECOND
from games.limited import ENDLESS
from games.problems import listed
from games.steps.points import Step

WIN, WAIT, NEVER = "win", "wait", "never"
LINES_WHILE_PLACING = (WIN, WAIT, NEVER)
"""What a line is worth that stands before all men do: it wins at once; it counts for whoever has moved once all
men are placed; it is worth nothing, since a line must be made by a step (also where men stand from the start)."""

LOSES, WINS, DRAWS, PASSES = "loses", "wins", "draws", "passes"
BLOCKED = (LOSES, WINS, DRAWS, PASSES)
"""What becomes of a player who can neither place a man nor move one."""

FIRST_MAN, EACH_FIRST_MAN = "first-man", "each-first-man"
BARRED_TO = (FIRST_MAN, EACH_FIRST_MAN)
"""Who may not place a man on a barred point: whoever places the first of all, or each side with its first."""

MOST_LINES_SAID = 12
MOST_STEPS_SAID = 20

Points = tuple[int, ...]


class StepRules(NamedTuple):
    """The rules of one game.

    steps: pairs of joined points; goes: how a man goes, in words; men: of each side, in all; standing: where those
    stand that need not be placed; barred, barred_to: where and to whom the first man is barred; guarded: points that
    may be entered only from beside a man of the other side, in each side's first `guarded_moves` moves (0: always);
    in_a_row: the length of the lines, if they are all that there are on the grid, else 0.
    """

    board: Board
    steps: tuple[Step, ...]
    lines: tuple[Points, ...]
    men: tuple[int, int]
    standing: tuple[Points, Points] = ((), ())
    begins: int = FIRST
    lines_while_placing: str = WIN
    blocked: str = LOSES
    barred: Points = ()
    barred_to: str = FIRST_MAN
    guarded: Points = ()
    guarded_moves: int = 0
    goes: str = ""
    in_a_row: int = 0

    @property
    def in_hand(self) -> tuple[int, int]:
        """How many men each side has to place."""
        return self.men[FIRST] - len(self.standing[FIRST]), self.men[SECOND] - len(self.standing[SECOND])

    @property
    def marks_lines(self) -> bool:
        """Whether not every line wins, so that a position has to tell whether the last move has made one that does."""
        if self.lines_while_placing == WAIT:
            return bool(self.lines) and any(self.in_hand)
        return bool(self.lines) and self.lines_while_placing == NEVER

    @property
    def has_holes(self) -> bool:
        """Whether some place of the grid has no point."""
        return self.board.size < self.board.columns * self.board.rows

    @property
    def leads_anywhere(self) -> bool:
        """Whether every two points are joined."""
        return len(self.steps) == self.board.size * (self.board.size - 1) // 2

    def kinds(self) -> list[tuple[bool, ...]]:
        """For each point what the rules say of it, apart from steps and lines; the sides' men come first."""
        sets = (*self.standing, self.barred, self.guarded)
        return [tuple(point in points for points in sets) for point in range(self.board.size)]

    def in_words(self) -> tuple[str, ...]:
        """The rules in words, a sentence or two each."""
        said = [
            f"The two players take turns; the {PLAYERS[self.begins]} player begins.",
            self._men_in_words(),
            self._barring_in_words(),
            self._steps_in_words(),
            self._guard_in_words(),
            self._lines_in_words(),
            self._blocked_in_words(),
            ENDLESS,
            f"In a written position {HOLE} stands where there is no point." if self.has_holes else "",
        ]
        return tuple(sentence for sentence in said if sentence)

    def _named(self, points: Iterable[int], last: str) -> str:
        return listed([self.board.names[point] for point in points], last)

    def _men_in_words(self) -> str:
        first, second = self.men
        have = f"Each player has {in_men(first)}" if first == second else (
            f"The first player has {in_men(first)}, the second {in_men(second)}"
        )  # fmt: skip
        if not any(self.in_hand):
            return f"{have}. They stand on the board from the start."
        some = any(map(len, self.standing))
        which = "Some stand on the board from the start; the others" if some else "They"
        return f"{have}. {which} are placed first, one a turn, on any free point."

    def _barring_in_words(self) -> str:
        if not self.barred:
            return ""
        which = "The first man of the game" if self.barred_to == FIRST_MAN else "The first man of each player"
        return f"{which} may not be placed on {self._named(self.barred, 'or')}."

    def _steps_in_words(self) -> str:
        who = "Who has no man left to place" if any(self.in_hand) else "Whose turn it is"
        return f"{who} moves one man {self.goes}, if that point is free."

    def _guard_in_words(self) -> str:
        if not self.guarded:
            return ""
        turns = f"In each player's first {self.guarded_moves} moves a man" if self.guarded_moves else "A man"
        return (
            f"{turns} may enter {self._named(self.guarded, 'or')} only from a point that is joined to one where "
            "a man of the other player stands."
        )

    def _lines_in_words(self) -> str:
        if not self.lines:
            return ""
        if self.in_a_row:
            line = f"{self.in_a_row} men in a row (along a row, a column or a diagonal)"
        else:
            line = "a whole line of men"
        other = "made while placing" if any(self.in_hand) else "that stands from the start"
        begin = {
            WIN: f"Whoever has {line} wins",
            WAIT: f"Once all men are placed, whoever has just played and has {line} wins",
            NEVER: f"Whoever makes {line} by a step wins; a line {other} is worth nothing",
        }[self.lines_while_placing if self.marks_lines else WIN]
        if self.in_a_row or len(self.lines) > MOST_LINES_SAID:
            return f"{begin}."
        return f"{begin}. The lines: {listed(joined_names(self.board, self.lines), 'and')}."

    def _blocked_in_words(self) -> str:
        if self.leads_anywhere and sum(self.men) < self.board.size:
            return ""  # then nobody is ever blocked
        return {
            LOSES: "Whoever is to move and cannot loses.",
            WINS: "Whoever is to move and cannot wins.",
            DRAWS: "When whoever is to move cannot, the game is a draw.",
            PASSES: "Whoever is to move and cannot has to pass; when nobody can move, the game is a draw.",
        }[self.blocked]


def joined_names(board: Board, groups: Iterable[Sequence[int]]) -> list[str]:
    """Lines or steps as people write them: ``1-2-3``."""
    return ["-".join(board.names[point] for point in points) for points in groups]


def steps_in_words(board: Board, steps: Sequence[Step]) -> str:
    """How a man goes on steps of the game's own."""
    if len(steps) > MOST_STEPS_SAID:
        return "to a point that is joined to its own"
    return f"to a point that is joined to its own ({', '.join(joined_names(board, steps))})"


def in_men(count: int) -> str:
    """So many men, in words."""
    return "1 man" if count == 1 else f"{count} men"
