"""What is asked of `tighten`, and what every kind of least strategy answers."""

from pathlib import Path
from typing import Any, NamedTuple, Protocol

from budget.card import CostCard
from games.codes import PLAYERS
from games.game import Game
from games.house import HouseRules
from games.tomlfile import read_text
from solver.load import Written
from solver.strategy import OPEN, PLAIN, TURNED, Strategy
from workbench.least_line import LeastLine
from workbench.output import say
from workbench.tell_proof import CLAIM_WORDS


class Request(NamedTuple):
    """A game with its house rules, a seat and a claim; what answers first; and how far to go.

    game_name, house_name: as the user names them.  first: the sheet that answers first, if any.
    turned: boards that are alike by symmetry count as one; fixed_choice: choices that are left open are settled.
    seconds: how long to look.  card: the machine whose words are wanted; encoding: the form in which they are.
    """

    game_name: str
    game: Game
    seat: int
    claim: str
    house_name: str
    house: HouseRules
    first: Written | None
    turned: bool
    fixed_choice: bool
    seconds: float
    line: LeastLine
    card: CostCard | None = None
    encoding: str | None = None

    @property
    def choice(self) -> str | None:
        """How choices are settled, where the user asks for that."""
        if not self.fixed_choice:
            return None
        return TURNED if self.turned else PLAIN

    @property
    def is_settled(self) -> bool:
        """Whether choices are settled, by the user or by the header of the sheet that answers first."""
        return (self.choice or (OPEN if self.first is None else self.first.choice)) != OPEN

    def rules(self) -> Strategy | None:
        """What answers before anything stored is looked up: nothing at all where only choices are settled."""
        if self.first is None:
            choice = self.choice
            return None if choice is None else Strategy("nothing", "", self.game, self.seat, (), choice)
        written = self.first.strategy(self.seat)
        return written if self.choice is None else written.fixed(self.choice)

    def behind_first(self, rules: str) -> str:
        """The sheet that answers first, if there is one, with further rules behind its own."""
        if self.first is None:
            return rules
        return f"{read_text(self.first.file).rstrip()}\n\n{rules}"

    def head(self) -> None:
        """Say what was asked."""
        say(f"{self.game.title}, machine moves {PLAYERS[self.seat]}, house rules '{self.house_name}'")
        say(f"Claim {self.claim}: {CLAIM_WORDS[self.claim]}.")
        say()

    def say_what_is_first(self) -> None:
        """Say which rules answer before anything that is found here."""
        if self.first is not None:
            say(f"The rules of {self.first.file} answer first; behind them:")
            say()


class Outcome(NamedTuple):
    """What was found: figures for machines, the files that hold the strategy, and how sure it is.

    record: the keys of docs/json.md; files: texts by path, the strategy first; proved_least: whether no smaller one
    exists, as *proved least* is meant; strategy: what was found, None if nothing was, or several.
    """

    record: dict[str, Any]
    files: dict[Path, str]
    proved_least: bool
    strategy: Strategy | None = None


class Kind(Protocol):
    """What each module here gives that makes something least.

    FIGURE: the key of what is made least, None where several strategies are; COUNTED: what that counts, in the
    singular, None where it counts nothing.
    """

    __name__: str
    FIGURE: str | None
    COUNTED: str | None

    def tighten(self, request: Request, out: Path | None) -> Outcome:
        """Find it, and give the strategy's files (for `out`, if it is to be written)."""
        ...

    def tell(self, request: Request, outcome: Outcome) -> None:
        """The figures in words."""
        ...
