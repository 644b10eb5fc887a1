"""How far a drill of faults is, in a file: what has come of the faults so far, kept after every part of them."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from budget.drilling.drill import FAULTS_TOGETHER, Outcome, Shown
from budget.drilling.judging import CLASSES
from budget.drilling.replies import Reply
from games.house import house_digest
from games.load import game_digest
from solver.load import Written
from workbench.drill.mark import Mark, digest_of

KIND = "fault-drill-bookmark"


def faults_digest(parts: Iterable[object], written: Written) -> str:
    """A name for a drill: of all that decides what comes of a program's faults, and of the rules it is held against."""
    rules = game_digest(written.game_name), house_digest(written.house_rules)
    return digest_of(part.encode() for part in (*rules, *map(repr, parts)))


class FaultMark:
    """The file in which the outcomes of a drill are kept, in the order in which faults are drilled."""

    def __init__(self, file: str, request: str) -> None:
        self._mark = Mark(file, KIND, request)

    def taken_up(self, faults: int) -> list[Outcome]:
        """What was kept of so many faults.  Raises BadInput where the file is another's, or damaged."""

        def take(mark: Mapping[str, Any]) -> list[Outcome]:
            found = [_outcome(each) for each in mark["outcomes"]]
            if len(found) > faults or (len(found) % FAULTS_TOGETHER and len(found) < faults):
                raise ValueError
            return found

        return self._mark.taken_up(take) or []

    def keep(self, outcomes: Sequence[Outcome]) -> None:
        """Put what has come of faults so far into the file."""
        self._mark.keep({"outcomes": list(map(_as_data, outcomes))})

    def take_away(self) -> None:
        """Nothing is left to be done."""
        self._mark.take_away()


def _as_data(outcome: Outcome) -> list[Any]:
    shown = [[each.step, list(each.reply.sent), each.reply.status] for each in outcome.shown]
    return [CLASSES.index(outcome.found), outcome.is_whole, outcome.leans, shown]


def _outcome(data: Sequence[Any]) -> Outcome:
    rank, is_whole, leans, told = data
    shown = tuple(Shown(step, Reply(tuple(sent), status)) for step, sent, status in told)
    return Outcome(CLASSES[rank], shown, is_whole, leans)
