"""A strategy: ordered rules, each of which may allow moves in a position; the first that does gives the answer.

A rule sheet, a table and a search are all made of rules, so any of them can stand in order.  A rule sees
positions from the machine's seat and from their board alone, many at a time.
"""

from collections.abc import Sequence
from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from games.codes import Codes, Indices, MoveIds
from games.game import Game, inverse_symmetries, least_images
from solver.meanings import Meaning

OPEN, PLAIN, TURNED = "open", "plain", "turned"
CHOICES = (OPEN, PLAIN, TURNED)
"""Where a rule allows several moves: all of them (the visitor may choose), the least on the board as it stands,
or the least on the least image, turned back."""
NO_RULE = -1


class Allowed(NamedTuple):
    """Moves that are allowed in some positions: pairs sorted by place, then by move, none twice."""

    place: Indices
    move: MoveIds


class Answers(NamedTuple):
    """What a strategy answers in n positions.

    rule: (n,) which rule answered, NO_RULE where none did; place, move: the moves it allows, as in `Allowed`.
    """

    rule: npt.NDArray[np.int16]
    place: Indices
    move: MoveIds


class View:
    """Positions as the machine sees them, all with the machine to move."""

    __slots__ = ("codes", "game", "seat")

    def __init__(self, game: Game, codes: Codes, seat: int) -> None:
        self.game = game
        self.codes = codes
        self.seat = seat

    def __len__(self) -> int:
        return len(self.codes)


class Rule(Protocol):
    """One rule of a strategy."""

    text: str
    """The rule as its author wrote it."""
    line: int
    """The line of the file on which it stands."""
    stores_answers: bool
    """Whether its moves are looked up in the store, so that each position it answers is an *answer*."""

    @property
    def meaning(self) -> Meaning:
        """What it says, as plain data."""
        ...

    def allowed(self, view: View) -> Allowed:
        """The moves that the rule allows in each position; none where it does not apply."""
        ...


class Strategy:
    """Rules in order, with the seat they were written for and how an open choice is settled."""

    __slots__ = ("choice", "file", "game", "name", "rules", "seat")

    def __init__(
        self, name: str, file: str, game: Game, seat: int, rules: Sequence[Rule], choice: str = OPEN
    ) -> None:
        self.name = name
        self.file = file
        self.game = game
        self.seat = seat
        self.rules = tuple(rules)
        self.choice = choice

    def fixed(self, choice: str) -> "Strategy":
        """The same rules with another way to settle choices."""
        return Strategy(self.name, self.file, self.game, self.seat, self.rules, choice)

    def answers(self, codes: Codes) -> Answers:
        """The answers in these positions of the fair game, all with the machine to move."""
        if self.choice != TURNED:
            return self._settled(self._open_answers(codes))
        least, by = least_images(self.game, codes)
        answers = self._settled(self._open_answers(least))
        return answers._replace(move=_turned_back(self.game, answers.move, by[answers.place]))

    def _settled(self, answers: Answers) -> Answers:
        """Only the least move of each position, unless choices stay open."""
        if self.choice == OPEN:
            return answers
        _, first = np.unique(answers.place, return_index=True)
        return Answers(answers.rule, answers.place[first], answers.move[first])

    def _open_answers(self, codes: Codes) -> Answers:
        rule = np.full(len(codes), NO_RULE, dtype=np.int16)
        places: list[Indices] = [np.zeros(0, dtype=np.intp)]
        moves: list[MoveIds] = [np.zeros(0, dtype=np.uint16)]
        waiting = np.arange(len(codes), dtype=np.intp)
        for number, each in enumerate(self.rules):
            if not len(waiting):
                break
            allowed = each.allowed(View(self.game, codes[waiting], self.seat))
            rule[waiting[allowed.place]] = number
            places.append(waiting[allowed.place])
            moves.append(allowed.move)
            waiting = waiting[rule[waiting] == NO_RULE]
        place, move = np.concatenate(places), np.concatenate(moves)
        order = np.lexsort((move, place))
        return Answers(rule, place[order], move[order])


def _turned_back(game: Game, moves: MoveIds, by: npt.NDArray[np.uint8]) -> MoveIds:
    """Moves on least images as they are called on the boards that `by` had turned into them."""
    back = inverse_symmetries(game)
    turned = moves.copy()
    for symmetry in np.unique(by):
        those = by == symmetry
        turned[those] = game.turned_move(back[int(symmetry)], moves[those])
    return turned
