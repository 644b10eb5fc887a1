"""What a plan is made for, and the strategies that it weighs."""

from collections.abc import Sequence
from typing import NamedTuple

from budget.lowering.lower import STAYS
from games.game import Game
from games.house import HouseRules
from games.housed import HousedGame
from solver.least.written import Heading
from solver.sheet.reader import SheetReader
from solver.strategy import OPEN, Strategy

TABLE = "plan.csv"
"""The file of a table, beside the sheet that uses it."""


class Asked(NamedTuple):
    """A game, a seat and a claim, under house rules; `game_name` and `house_name` as the user names them."""

    game_name: str
    game: Game
    seat: int
    claim: str
    house_name: str
    house: HouseRules

    @property
    def housed(self) -> HousedGame:
        """The game with its house rules."""
        return HousedGame(self.game, self.house, self.seat)

    @property
    def heading(self) -> Heading:
        """What stands above a strategy file."""
        return Heading(self.game_name, self.seat, self.claim, self.house_name)

    def sheet(self, rules: str) -> str:
        """A whole sheet with these rules."""
        return self.heading.above(rules)

    def strategy(self, rules: str) -> Strategy:
        """The strategy that a sheet with these rules is."""
        read = SheetReader("", rules.split("\n"), self.game).read(0)
        return Strategy("sheet", "", self.game, self.seat, read, OPEN)


class Candidate(NamedTuple):
    """A strategy that may be worth having.

    name: in a few words; strategy: to be proved; sheet: its file; table: the file of the table beside it, if any;
    is_stored: whether all its moves are stored, so that it may lie in any encoding without its rules; is_better_turned:
    whether it may take fewer words on a board that the program turns to its least image; stays: of its words, as they
    are written roughly, so many are taken to stay when it is made shorter.
    """

    name: str
    strategy: Strategy
    sheet: str
    table: str | None = None
    is_stored: bool = False
    is_better_turned: bool = False
    stays: float = STAYS


def named(first: Sequence[str], what: str) -> str:
    """The name of something that comes behind some rules."""
    return f"{len(first)} rules, then {what}" if len(first) > 1 else f"1 rule, then {what}" if first else what
