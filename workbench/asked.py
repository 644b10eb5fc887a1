"""A strategy as it is asked for on the command line."""

from typing import NamedTuple

from games.problems import bad
from solver.load import Written, load_strategy
from solver.progress import Report
from solver.proof import Proof, prove


class Asked(NamedTuple):
    """A strategy's file, and what stands in for lines that its header lacks."""

    file: str
    game: str | None = None
    seat: str | None = None
    claim: str | None = None
    house_rules: str | None = None

    def written(self) -> Written:
        """The strategy as read.  Raises BadInput with every mistake of the file, and where it is for both seats."""
        written = load_strategy(
            self.file, game=self.game, seat=self.seat, claim=self.claim, house_rules=self.house_rules
        )
        if len(written.seats) > 1:
            message = "is for both seats; expected --seat first or --seat second"
            raise bad(message, self.file)
        return written


def proof_of(written: Written, report: Report | None = None) -> Proof:
    """What is proved of a strategy for one seat, under the claim and the house rules that it names."""
    return prove(written.strategy(written.seats[0]), written.claim, written.house, report)
