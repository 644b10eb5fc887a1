"""Ways to play on a machine: candidates in the forms that make sense, built from the promising ones on.

A form is first written roughly, with the first ways of all its parts.  Those that are short so far come first, and what
another way leaves far behind, both in words and in waiting, is not built any further.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any, NamedTuple

from budget.card import CostCard
from budget.closing import ENDLESS, LONGEST_REPLY, Closed, Patience, TooSlow, Unfinished, close
from budget.conversation import Conversation
from budget.encodings import encodings
from budget.forms import AS_WRITTEN, Built, Form, forms_of, search_of
from budget.lowering.choices import Search
from budget.lowering.lower import STAYS, Lowered, TooLong
from budget.lowering.text import NotLowered
from budget.packed import NotApplicable
from budget.plan.asked import Asked, Candidate
from budget.plan.probing import Game, games_to_try, is_slow
from budget.program_size import ProgramRow, row_of_built
from solver.fixed import FixedPlay, fixed_plays
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


class _Rough(NamedTuple):
    """A form as it is written roughly, and the search that makes it shorter."""

    candidate: Candidate
    form: Form
    search: Search[Lowered | TooLong]
    found: Lowered | TooLong

    @property
    def words(self) -> int:
        return self.found.words.total


class _Talk(NamedTuple):
    """What every program of a play should say, and the games in which it is seen first whether one is slow."""

    talk: Conversation
    games: list[Game]


def built_ways(asked: Asked, found: Iterable[Candidate], card: CostCard, told: Told) -> Tried:
    """Build the candidates, each proved anew in every form; see this module's beginning."""
    building = _Building(asked, card, told)
    for candidate in found:
        if not told(f"writing {candidate.name}", None):
            break
        building.write(candidate)
    return building.tried()


class _Building:
    """All forms of all candidates."""

    def __init__(self, asked: Asked, card: CostCard, told: Told) -> None:
        self._asked, self._card, self._told = asked, card, told
        self._roughs: list[_Rough] = []
        self._talks: dict[int, _Talk] = {}  # by play: they remember much, and its forms say the same
        self._ways: list[Way] = []
        self._reason = ""

    # -- roughly ------------------------------------------------------------------------------

    def write(self, candidate: Candidate) -> None:
        """Every form of a candidate, roughly."""
        for form in self._forms(candidate):
            try:
                search = search_of(form, self._card)
                rough = _Rough(candidate, form, search, search.roughly())
            except NotLowered as reason:
                self._reason = self._reason or str(reason)
                continue
            if not self._is_there(rough):
                self._roughs.append(rough)

    def _is_there(self, rough: _Rough) -> bool:
        """Whether the same program has been written already."""
        text = None if isinstance(rough.found, TooLong) else rough.found.text
        return text is not None and any(
            isinstance(other.found, Lowered) and other.found.text == text for other in self._roughs
        )

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
        for rough in sorted(self._roughs, key=lambda rough: rough.words):
            least = min((way.words for way in self._ways), default=None)
            name = f"building {rough.candidate.name} ({rough.form.name}, {rough.form.reading})"
            if not self._told(name, least) and self._ways:
                break
            way = None if self._is_left_behind(rough) else self._way(rough)
            if way is None:
                left_behind += 1
            else:
                self._ways.append(way)
        return Tried(tuple(self._ways), left_behind, self._reason)

    def _is_left_behind(self, rough: _Rough) -> bool:
        """Whether a way is as quick that has fewer words than this form can be thought to come to.

        As much is taken to stay of its thinking as of its words.  Where nothing fits, only words count; where
        something does, what cannot be thought to fit is left.
        """
        words = STAYS * rough.words
        if isinstance(rough.found, TooLong):
            if any(way.row.fits for way in self._ways):
                return words > self._card.store_words
            return any(way.words <= words for way in self._ways)
        return self._proves_slow(rough.form, rough.found, self._patience(words, STAYS))

    def _way(self, rough: _Rough) -> Way | None:
        """The form built as short as can be; None where another way beats it both in words and in waiting."""
        found, form = rough.search.least(), rough.form
        if isinstance(found, TooLong):
            built = Built(form, None, found.words, None, str(found))
            return Way(rough.candidate, form, row_of_built(built, self._card), None)
        closed = self._closed(form, found)
        if closed is None:
            return None
        built = Built(form, found, found.words, closed, None)
        return Way(rough.candidate, form, row_of_built(built, self._card), found)

    def _closed(self, form: Form, lowered: Lowered) -> Closed | None:
        """What is found in every state; None as soon as a way with no more words proves to be as quick."""
        patience = self._patience(lowered.words.total, 1.0)
        if self._proves_slow(form, lowered, patience):
            return None
        try:
            return close(lowered.program, self._talk(form.play).talk, patience=patience)
        except (TooSlow, Unfinished):
            return None

    def _proves_slow(self, form: Form, lowered: Lowered, patience: Patience) -> bool:
        """Whether a few games show already that a program is slower than `patience` has it."""
        if patience == ENDLESS:
            return False
        talk = self._talk(form.play)
        return is_slow(lowered.program, talk.talk, talk.games, patience)

    def _patience(self, words: float, stays: float) -> Patience:
        """The patience for replies of a program with so many words, which no way with at most as many may beat.

        stays: of its thinking so much is taken to stay when it is made shorter.
        """
        return _patience(self._quickest_within(words), stays, self._card)

    def _quickest_within(self, words: float) -> Way | None:
        """Of all ways that fit and have at most so many words the one with the shortest wait."""
        few = [way for way in self._ways if way.row.fits and way.words <= words]
        return min(few, key=lambda way: way.wait, default=None)

    def _talk(self, play: FixedPlay) -> _Talk:
        if id(play) not in self._talks:
            talk = Conversation(play, self._card, thorough=False)
            self._talks[id(play)] = _Talk(talk, games_to_try(talk))
        return self._talks[id(play)]


def _patience(quickest: Way | None, stays: float, card: CostCard) -> Patience:
    """The patience for replies that must not come later than those of another way, however short they are made."""
    if quickest is None:
        return ENDLESS
    if card.program.pace is None:
        return Patience(int(quickest.wait / stays), None)
    return Patience(LONGEST_REPLY, quickest.wait + quickest.thinking * (1 / stays - 1))


def unbeaten(ways: Sequence[Way]) -> list[Way]:
    """The ways that fit and than which none has both fewer words and a shorter wait, the fewest words first."""
    kept: list[Way] = []
    for way in sorted((way for way in ways if way.row.fits), key=lambda way: (way.words, way.wait)):
        if not kept or way.wait < kept[-1].wait:
            kept.append(way)
    return kept
