"""What would have to give where no way does: changes of the house rules that cost no game, each built and run."""

from typing import Any, NamedTuple

from budget.card import CostCard
from budget.closing import Unfinished
from budget.forms import built
from budget.plan.asked import Asked
from budget.plan.ways import Way
from budget.program_size import row_of_built
from budget.savings import Now, changes
from games.house import HouseRules
from solver.fixed import Unanswered, fix
from solver.proof import PROVED, prove


class Given(NamedTuple):
    """A change of the house rules in words, and what the nearest way comes to with it; does: whether that will do."""

    change: str
    way: Way
    does: bool

    def as_json(self) -> dict[str, Any]:
        """The figures by their JSON keys."""
        row = self.way.row.as_json()
        figures = {key: row[key] for key in ("total_words", "worst_instructions", "worst_seconds", "fits")}
        return {"change": self.change, **figures, "does": self.does}


def what_would_do(asked: Asked, nearest: Way, card: CostCard, within: float | None) -> list[Given]:
    """Every change that makes the nearest way shorter or quicker; those that will do first, then the shortest."""
    found = []
    for change, house in changes(Now(asked.house, asked.game.move_names, card)):
        way = _under(asked, house, nearest, card)
        if way is not None and (way.words < nearest.words or way.wait < nearest.wait):
            found.append(Given(change, way, way.row.fits and (within is None or way.wait <= within)))
    found.sort(key=lambda given: given.way.words if within is None else given.way.wait)
    return sorted(found, key=lambda given: not given.does)


def _under(asked: Asked, house: HouseRules, nearest: Way, card: CostCard) -> Way | None:
    """The same way under other house rules; None where the claim does not hold there, or there is no program."""
    proof = prove(nearest.candidate.strategy, asked.claim, house)
    try:
        play = fix(proof, nearest.form.reading)
        result = built(nearest.form._replace(play=play), card)
    except (Unanswered, Unfinished):
        return None
    if play.proof is None or play.proof.verdict != PROVED or result.words is None:
        return None
    return Way(nearest.candidate, result.form, row_of_built(result, card), result.lowered)
