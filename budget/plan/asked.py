"""What a plan is made for, and the strategies that it weighs."""

from typing import NamedTuple

from games.game import Game
from games.house import HouseRules
from games.housed import HousedGame
from solver.least.written import Heading
from solver.sheet.reader import SheetReader
from solver.strategy import OPEN, Strategy


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

    name: in a few words; strategy: to be proved; sheet: its file; table: the file of the table beside it, if any.
    """

    name: str
    strategy: Strategy
    sheet: str
    table: str | None = None
