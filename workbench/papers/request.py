"""What every kind of paper starts from, a strategy read, proved and settled; and what it gives, a page."""

from typing import Any, NamedTuple

from budget.building import Product, Wish
from budget.card import COMPILER, CostCard
from games.codes import PLAYERS
from games.housed import HousedGame
from games.problems import bad
from solver.fixed import PLAIN, TURNED, FixedPlay
from solver.proof import Proof
from workbench.asked import Asked, proof_of
from workbench.built_strategy import build_plays, plays_to_build
from workbench.progress import ProgressLine
from workbench.tell_proof import CLAIM_WORDS


class Wanted(NamedTuple):
    """What the options say; each is for some kinds only.

    fixed_board: no board is turned; card: the machine; wish: the program that is in it, as `build` has it; drill: a
    table of faults; line: what the visitor types, with spaces between; blank: trace tables are to be filled in; last:
    only the last of them; time: for how many seconds a shorter list is looked for, if at all.
    """

    fixed_board: bool = False
    card: CostCard | None = None
    wish: Wish = Wish()
    drill: str | None = None
    line: str | None = None
    blank: bool = False
    last: bool = False
    time: float = 0.0


class Request(NamedTuple):
    """A strategy of which something is printed.

    proof: of the strategy as it is written; plays: it settled in each reading in which the claim is proved.
    """

    asked: Asked
    proof: Proof
    plays: tuple[FixedPlay, ...]
    wanted: Wanted
    progress: ProgressLine

    @property
    def game(self) -> HousedGame:
        """The game under its house rules, with the machine in its seat."""
        return self.proof.walk.game

    @property
    def heading(self) -> str:
        """Which strategy this is: ``Noughts and crosses, machine moves second: lamp-room``."""
        return f"{self.game.title}, machine moves {PLAYERS[self.game.seat]}: {self.proof.walk.strategy.name}"

    @property
    def claim_in_words(self) -> str:
        """What is proved: ``the machine never loses``."""
        return CLAIM_WORDS[self.proof.claim]

    def play(self, *readings: str) -> FixedPlay:
        """The strategy in the first of these readings in which the claim is proved, or in another if in none."""
        by_reading = {play.reading: play for play in self.plays}
        return next((by_reading[each] for each in readings if each in by_reading), self.plays[0])

    @property
    def machine(self) -> CostCard:
        """The machine.  Raises BadInput for one whose programs are compiled."""
        card = self.wanted.card
        assert card is not None, "kinds that are about a program are asked for with a machine"
        if card.programs == COMPILER:
            raise bad(f"programs of '{card.name}' are compiled; expected a machine that takes orders")
        return card

    def product(self, card: CostCard) -> Product:
        """The program of the strategy that `build` makes.  Raises workbench.built_strategy.Refused if there is none."""
        return build_plays(self.plays, self.proof.verdict, card, self.wanted.wish, self.progress)

    @property
    def plain(self) -> FixedPlay:
        """The strategy on the board as it stands."""
        return self.play(PLAIN, TURNED)


class Paper(NamedTuple):
    """A page to print.

    body: finished HTML; record: what is in it, by JSON keys; said: the same in sentences.
    """

    title: str
    body: str
    styles: str
    record: dict[str, Any]
    said: tuple[str, ...]


def request(asked: Asked, wanted: Wanted, progress: ProgressLine) -> Request:
    """Read a strategy, prove it and settle it.

    Raises BadInput for files with mistakes, and workbench.built_strategy.Refused if the claim does not hold for it.
    """
    written = asked.written()
    proof = proof_of(written, progress)
    plays = plays_to_build(proof, anyway=False)
    return Request(asked, proof, tuple(plays), wanted, progress)
