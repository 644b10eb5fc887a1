"""What is asked of a drill, made ready: the game under its house rules, and how it converses."""

from typing import NamedTuple

from games.codes import PLAYERS
from games.game import scored
from games.house import ASKED_FOR, HouseRules, load_house_rules
from games.housed import HousedGame
from games.load import load_game
from games.problems import bad
from games.repetition import repetition_limit
from solver.progress import Report
from workbench.drill.judging import Judge
from workbench.drill.manner import Manner, load_manner
from workbench.drill.reading import Reader
from workbench.drill.rules import Rules
from workbench.drill.waiting import Waiting
from workbench.drill.worth import Worth


class Asked(NamedTuple):
    """A drill's ground: what every part of it works with."""

    house: HouseRules
    manner: Manner
    judge: Judge

    @property
    def game(self) -> HousedGame:
        """The game under its house rules."""
        return self.judge.rules.game

    def waiting(self) -> Waiting:
        """How one can tell that the program waits: one for all its copies, since it may have to be learned."""
        manner = self.manner
        outcomes = [text for texts in manner.outcomes.values() for text in texts]
        waits_at_the_end = self.house.next_game == ASKED_FOR and not manner.waits_told
        return Waiting(
            manner.waits,
            outcomes if waits_at_the_end else (),
            self.judge.reader.ends_game,
            told=manner.waits_told,
        )


def make_ready(
    game: str,
    seat: str,
    claim: str,
    house_rules: str,
    conversation: str | None,
    report: Report | None = None,
) -> Asked:
    """Read all that a drill needs, and solve the game.  Raises BadInput where something cannot be used."""
    fair = load_game(game)
    if scored(fair) is not None:
        raise bad(
            f"moves of {fair.name} score, and scores cannot be drilled; expected a game that is won or drawn"
        )
    house = load_house_rules(house_rules, fair)
    manner = load_manner(conversation, house, fair)
    housed = HousedGame(fair, house, PLAYERS.index(seat))
    if repetition_limit(housed) is not None:
        raise bad(f"{fair.name} has a repetition-limit, which cannot be drilled; expected a game without one")
    if housed.can_repeat and claim == "best-value":
        raise bad(
            f"in {fair.name} play can go round, and best-value then hangs on lines without end, "
            "which cannot be keyed in; expected never-loses or quickest"
        )
    rules = Rules(housed, manner)
    judge = Judge(rules, Reader(manner, house), Worth(housed, report), claim)
    return Asked(house, manner, judge)
