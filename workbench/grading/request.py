"""What is asked of a grading: the same for all attempts, and plain enough to be sent to other processes."""

import hashlib
from functools import lru_cache
from typing import NamedTuple

from budget.card import COMPILER, CostCard, load_machine
from budget.size import check_reading
from games.codes import PLAYERS
from games.game import Game
from games.house import HouseRules, house_digest, load_house_rules
from games.load import game_digest, load_game
from games.problems import bad
from games.tomlfile import read_text
from solver.header import seat_numbers
from workbench.grading.rubric import Rubric, parse_rubric, read_rubric

FORM = 2
"""Goes up by one whenever what a grading says of the same attempt changes."""


class Request(NamedTuple):
    """A grading.

    seat: first, second or both; machine: a card, None where nothing is to be sized.  rubric: its text, and what
    messages call it.  wrong: the most wrong inputs in a line of a program's; seconds: for one program.
    """

    game: str
    seat: str
    claim: str
    house_rules: str
    machine: str | None
    rubric: tuple[str, str]
    wrong: int
    seconds: float

    @property
    def seats(self) -> tuple[str, ...]:
        """The seats by name, in the order of play."""
        return tuple(PLAYERS[number] for number in seat_numbers(self.seat))

    def digest(self) -> str:
        """SHA-256 in hexadecimal: the same where every attempt would be judged in the same way."""
        asked = [str(FORM), self.seat, self.claim, game_digest(self.game), house_digest(self.house_rules)]
        asked += [self.rubric[0], str(self.wrong), str(self.seconds), _card_text(self.machine)]
        return hashlib.sha256("\0".join(asked).encode()).hexdigest()


def asked(
    game: str,
    seat: str,
    *,
    claim: str = "never-loses",
    house_rules: str = "usual",
    machine: str | None = None,
    rubric: str | None = None,
    wrong: int = 1,
    seconds: float = 60,
) -> Request:
    """A request as it is made by name: the rubric as a file, the usual one if none is named.

    Raises BadInput where something that is named cannot be used.
    """
    request = Request(game, seat, claim, house_rules, machine, read_rubric(rubric), wrong, seconds)
    made_ready(request)
    return request


class Ready(NamedTuple):
    """All that a request names, read; card: None where nothing is to be sized."""

    game: Game
    house: HouseRules
    rubric: Rubric
    card: CostCard | None


@lru_cache(maxsize=4)
def made_ready(request: Request) -> Ready:
    """Read all that a request names.  Raises BadInput where something cannot be used."""
    game = load_game(request.game)
    house = load_house_rules(request.house_rules, game)
    rubric = parse_rubric(*request.rubric)
    card = None if request.machine is None else load_machine(request.machine)
    if card is not None:
        if card.programs == COMPILER:
            raise bad(
                "is reached by a compiler, and a class is sized in orders; expected another machine",
                card.name,
            )
        check_reading(house, card)
    return Ready(game, house, rubric, card)


def _card_text(machine: str | None) -> str:
    if machine is None:
        return ""
    return read_text(machine) if machine.lower().endswith(".toml") else machine
