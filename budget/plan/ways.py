"""Ways to play on a machine: candidates in the forms that make sense, built from the promising ones on.

A form is first written roughly, with the first ways of all its parts.  Those that are short so far come first, and what
another way leaves far behind, both in words and in waiting, is not built any further.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from typing import Any, NamedTuple

from budget.card import CostCard
from budget.encodings import encodings
from budget.forms import AS_WRITTEN, Built, Form, forms_of
from budget.lowering.lower import Lowered, TooLong
from budget.packed import NotApplicable
from budget.plan.ahead import Ahead, Helpers
from budget.plan.asked import Asked, Candidate
from budget.plan.attempts import Attempt, Rival, Rough, Sent, pace_of, pace_of_closed, patience_for
from budget.plan.noticing import to_be_quicker
from budget.plan.roughs import Roughs
from budget.program_size import ProgramRow, row_of_built
from solver.fixed import fixed_plays
from solver.proof import PROVED, prove

Told = Callable[[str, int | None], bool]
"""Told what is being done, and the fewest words so far; False asks for an end."""


class Way(NamedTuple):
    """One candidate in one form on a machine: what it takes, and the program (None where it does not fit)."""

    candidate: Candidate
    form: Form
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
        replies = self.row.replies
        if replies is None:
            return float("inf")
        if replies.slowest.thinking is None:
            return float(replies.most.instructions)
        return float(replies.slowest.thinking + (replies.slowest.printing or 0))

    @property
    def thinking(self) -> float:
        """Seconds of the longest wait in which nothing is printed."""
        replies = self.row.replies
        return 0.0 if replies is None else float(replies.slowest.thinking or 0)

    def as_json(self) -> dict[str, Any]:
        """The figures by their JSON keys."""
        return {
            "name": self.candidate.name,
            **self.row.as_json(),
            "strategy": self.candidate.sheet,
            "table": self.candidate.table,
        }


class Tried(NamedTuple):
    """What came of all candidates: the ways that were built, and how many forms others left far behind.

    reason: why the first of the forms has no program that we can write; nothing where each has one.
    """

    ways: tuple[Way, ...]
    left_behind: int
    reason: str = ""


def built_ways(
    asked: Asked,
    found: Iterable[Candidate],
    card: CostCard,
    told: Told,
    helpers: Helpers | None = None,
    within: float | None = None,
) -> Tried:
    """Build the candidates, each proved anew in every form; see this module's beginning.

    within: seconds in which every answer has to come.
    """
    building = _Building(asked, card, told, helpers, within)
    for candidate in found:
        if not told(f"writing {candidate.name}", None):
            break
        building.write(candidate)
    return building.tried()


class _Building:
    """All forms of all candidates."""

    def __init__(
        self, asked: Asked, card: CostCard, told: Told, helpers: Helpers | None, within: float | None
    ) -> None:
        self._asked, self._card, self._told = asked, card, told
        self._helpers, self._within = helpers, within
        self._sent = Sent(card)
        self._roughs = Roughs(card, helpers, self._sent)
        self._ways: list[Way] = []

    # -- roughly ------------------------------------------------------------------------------

    def write(self, candidate: Candidate) -> None:
        """Every form of a candidate, roughly."""
        for form in self._forms(candidate):
            self._roughs.begin(candidate, form)

    def _forms(self, candidate: Candidate) -> Iterator[Form]:
        """The forms that make sense for it and in which the claim is proved anew.

        Rules find moves as they are written; only where all moves are stored may they lie in any encoding.  A program
        that turns its board takes more words for that, and only pictures and tables may take fewer there.
        """
        proof = prove(candidate.strategy, self._asked.claim, self._asked.house)
        if proof.verdict != PROVED:
            return
        plays = [
            play for play in fixed_plays(proof) if play.proof is not None and play.proof.verdict == PROVED
        ]
        for form in forms_of(plays if candidate.is_better_turned else plays[:1]):
            if form.name == AS_WRITTEN or (candidate.is_stored and self._may_fit(form)):
                yield form

    def _may_fit(self, form: Form) -> bool:
        """Whether the store holds the table of a form; what it takes besides the table is not known yet."""
        try:
            shape = encodings()[form.name].lay_out(form.play).shape
            return shape.on(self._card.word_bits).words(self._card.word_bits) <= self._card.store_words
        except NotApplicable:
            return False

    # -- all the way --------------------------------------------------------------------------

    def tried(self) -> Tried:
        """Build them, the shortest first."""
        left_behind = 0
        written = self._roughs.written(lambda what: self._told(what, None))
        order = sorted(written, key=lambda each: each[1].words)
        ahead = Ahead([rough for _, rough in order], self._card, self._helpers, self._sent)
        for number, (candidate, rough) in enumerate(order):
            goes_on = partial(self._goes_on, f"{number + 1} of {len(order)}", candidate, rough)
            if not goes_on():
                break
            way = None
            if self._is_wanted(rough):
                found = ahead.attempt(number, self._rivals(), self._is_wanted, goes_on)
                if found is None:
                    break
                way = self._way(candidate, rough, found, ahead)
            if way is None:
                left_behind += 1
            else:
                self._ways.append(way)
        return Tried(tuple(self._ways), left_behind, self._roughs.reason)

    def _goes_on(self, where: str, candidate: Candidate, rough: Rough) -> bool:
        """Tell what is being built; whether to go on, which nobody can refuse before anything is built."""
        least = min((way.words for way in self._ways), default=None)
        name = f"building {where}: {candidate.name} ({rough.form.name}, {rough.form.reading})"
        return self._told(name, least) or not self._ways

    def _is_wanted(self, rough: Rough) -> bool:
        """Where nothing fits, only words count; where something does, what cannot be thought to fit is left."""
        if isinstance(rough.found, Lowered):
            return True
        words = rough.least_words
        if any(way.row.fits for way in self._ways):
            return words <= self._card.store_words
        return all(way.words > words for way in self._ways)

    def _way(self, candidate: Candidate, rough: Rough, found: Attempt, ahead: Ahead) -> Way | None:
        """What was built, judged by all ways before it; None where another beats it both in words and in waiting."""
        form, program = rough.form, found.found
        if program is None or self._is_left_behind(rough, found, ahead):
            return None
        if isinstance(program, TooLong):
            built = Built(form, None, program.words, None, str(program))
            return Way(candidate, form, row_of_built(built, self._card), None)
        patience = patience_for(program.words.total, 1.0, self._rivals(), self._card)
        if found.closed is None or pace_of_closed(found.closed).is_beyond(patience):
            return None
        built = Built(form, program, program.words, found.closed, None)
        return Way(candidate, form, row_of_built(built, self._card), program)

    def _is_left_behind(self, rough: Rough, found: Attempt, ahead: Ahead) -> bool:
        """Whether a way is as quick that has fewer words than this form can be thought to come to.

        As much is taken to stay of its thinking as of its words.
        """
        if isinstance(rough.found, TooLong):
            return False
        patience = patience_for(rough.least_words, rough.stays, self._rivals(), self._card)
        pace = found.pace or pace_of(rough.found, ahead.talk(rough.form.play), patience)
        return pace is not None and pace.is_beyond(patience)

    def _rivals(self) -> list[Rival]:
        """The ways that fit."""
        return [
            Rival(way.words, to_be_quicker(way.wait, self._within), way.thinking)
            for way in self._ways
            if way.row.fits
        ]


def unbeaten(ways: Sequence[Way], within: float | None = None) -> list[Way]:
    """The ways that fit and than which none is as quick with as few words, the fewest words first.

    Waits that nobody tells apart are as quick: see `to_be_quicker`.
    """
    kept: list[Way] = []
    for way in sorted((way for way in ways if way.row.fits), key=lambda way: (way.words, way.wait)):
        if not kept or way.wait < to_be_quicker(kept[-1].wait, within):
            kept.append(way)
    return kept
