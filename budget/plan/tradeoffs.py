"""The trade of store against time: every candidate built in every form, and those that none beats in both."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any, NamedTuple

from budget.card import CostCard
from budget.closing import Unfinished
from budget.forms import AS_WRITTEN, Built, built, forms_of
from budget.lowering.lower import Lowered
from budget.plan.asked import Asked, Candidate
from budget.program_size import ProgramRow, row_of_built
from solver.fixed import fixed_plays
from solver.proof import PROVED, prove

Told = Callable[[str, int | None], bool]
"""Told what is being built, and the fewest words so far; False asks for an end."""


class Way(NamedTuple):
    """One candidate in one form on a machine: what it takes, and the program."""

    candidate: Candidate
    row: ProgramRow
    lowered: Lowered | None

    @property
    def words(self) -> int:
        """All words."""
        assert self.row.total_words is not None, "ways without programs are left out"
        return self.row.total_words

    @property
    def wait(self) -> float:
        """The longest wait: seconds, or instructions where the card has no times; endless where it does not fit."""
        if self.row.replies is None:
            return float("inf")
        record = self.row.as_json()
        seconds = record["worst_seconds"]
        return float(record["worst_instructions"]) if seconds is None else float(seconds)

    def as_json(self) -> dict[str, Any]:
        """The figures by their JSON keys."""
        return {
            "name": self.candidate.name,
            **self.row.as_json(),
            "strategy": self.candidate.sheet,
            "table": self.candidate.table,
        }


class Plan(NamedTuple):
    """What was found.

    ways: everything that was built, fitting or not; tradeoffs: those that fit and that no other beats both in words and
    in waiting, the fewest words first; best: of these the smallest that answers in time, None if none does; nearest:
    where none is the best, the one that comes nearest.
    """

    ways: tuple[Way, ...]
    tradeoffs: tuple[Way, ...]
    best: Way | None
    nearest: Way | None

    @property
    def tried(self) -> int:
        """How many programs were built."""
        return len(self.ways)


def plan(
    asked: Asked,
    found: Iterable[Candidate],
    card: CostCard,
    within: float | None = None,
    told: Told | None = None,
) -> Plan:
    """Build every candidate in every form, prove each, and compare.

    within: seconds in which every answer has to come.
    """
    ways: list[Way] = []
    for candidate in found:
        least = min((way.words for way in ways), default=None)
        if told is not None and not told(candidate.name, least):
            break
        ways.extend(_ways(asked, candidate, card))
    return compared(ways, within)


def compared(ways: Sequence[Way], within: float | None = None) -> Plan:
    """What to make of ways that have been built."""
    tradeoffs = _unbeaten([way for way in ways if way.row.fits])
    in_time = [way for way in tradeoffs if within is None or way.wait <= within]
    best = in_time[0] if in_time else None
    return Plan(tuple(ways), tuple(tradeoffs), best, None if best else _nearest(tradeoffs, ways))


def _ways(asked: Asked, candidate: Candidate, card: CostCard) -> list[Way]:
    """A candidate in every form that makes sense for it and in which the claim is proved anew.

    Rules find moves as they are written; only answers that are stored anyway may lie in any encoding.
    """
    proof = prove(candidate.strategy, asked.claim, asked.house)
    if proof.verdict != PROVED:
        return []
    plays = [play for play in fixed_plays(proof) if play.proof is not None and play.proof.verdict == PROVED]
    ways = []
    for form in forms_of(plays):
        if candidate.table is None and form.name != AS_WRITTEN:
            continue
        try:
            result: Built = built(form, card)
        except Unfinished:
            continue
        if result.words is not None:
            ways.append(Way(candidate, row_of_built(result, card), result.lowered))
    return ways


def _unbeaten(ways: Sequence[Way]) -> list[Way]:
    """The ways than which none has both fewer words and a shorter wait."""
    kept: list[Way] = []
    for way in sorted(ways, key=lambda way: (way.words, way.wait)):
        if not kept or way.wait < kept[-1].wait:
            kept.append(way)
    return kept


def _nearest(tradeoffs: Sequence[Way], ways: Sequence[Way]) -> Way | None:
    """The way that misses by least: in time, if some fit, else in words."""
    if tradeoffs:
        return min(tradeoffs, key=lambda way: way.wait)
    return min(ways, key=lambda way: way.words, default=None)
