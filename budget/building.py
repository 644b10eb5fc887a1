"""The program that is built of a strategy: the smallest that there is, held against its play in every state."""

from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import NamedTuple

from budget.card import CostCard
from budget.closing import Closed, close
from budget.conversation import Conversation
from budget.forms import AS_WRITTEN, Built, Form, forms_of, has_rules, lowered_as
from budget.lowering.checksum import BETWEEN_GAMES, NO_CHECK, failure_sign, time_of
from budget.lowering.lower import Lowered, TooLong, Words
from budget.lowering.text import NotLowered
from budget.messages import words_of_messages
from budget.size import check_reading
from solver.fixed import FixedPlay

Told = Callable[[str, int], None]
"""Hears which form is worked on, and how many states of its program have been tried."""


class Wish(NamedTuple):
    """What is to be built.

    only: the name of the one form that is wanted; check, keep_verdicts: as in `budget.lowering.lower`.
    """

    only: str | None = None
    check: str = NO_CHECK
    keep_verdicts: bool = False


class Check(NamedTuple):
    """What one forming of the check-sum takes; thinking: seconds, None where the card does not say."""

    instructions: int
    thinking: Fraction | None
    between_games: bool


class Product(NamedTuple):
    """A program that plays as it should.

    unkept, kept: its words without what finds endings that cannot happen, and with it (None where there is no such
    program); check: None where it has no check-sum.
    """

    form: Form
    lowered: Lowered
    closed: Closed
    unkept: Words | None
    kept: Words | None
    check: Check | None

    @property
    def built(self) -> Built:
        """The same as what becomes of any form."""
        return Built(self.form, self.lowered, self.lowered.words, self.closed, None)

    @property
    def check_sign(self) -> str:
        """What is printed when the check-sum is wrong."""
        return failure_sign(self.lowered.program.card.characters.code)

    @property
    def verdict_words(self) -> int | None:
        """How many words it takes to tell endings that cannot happen."""
        return None if self.kept is None or self.unkept is None else self.kept.total - self.unkept.total


class NotBuilt(Exception):
    """No form of a strategy is a program that fits; `reasons` has why, for each form."""

    def __init__(self, reasons: Sequence[tuple[Form, NotLowered]]) -> None:
        super().__init__("; ".join(str(reason) for _, reason in reasons))
        self.reasons = tuple(reasons)

    @property
    def is_too_long(self) -> bool:
        """Whether there is a program, and the store does not hold it; else none can be written yet."""
        return any(isinstance(reason, TooLong) for _, reason in self.reasons)


def wanted_forms(plays: Sequence[FixedPlay], only: str | None) -> list[Form]:
    """The forms to choose from: the one asked for, or as written; where there are no rules, every encoding."""
    forms = list(forms_of(plays))
    if only is None:
        only = AS_WRITTEN if any(map(has_rules, plays)) else None
    return [form for form in forms if only in (None, form.name)]


def make(plays: Sequence[FixedPlay], card: CostCard, wish: Wish, told: Told | None = None) -> Product:
    """The smallest program of a strategy that was settled in one reading or more, with its proof.

    Raises NotBuilt where there is none that fits; BadInput where the machine cannot read as the house rules ask, or
    cannot say a message; budget.closing.Differs if the program does anything else than the play: a fault of ours.
    """
    check_reading(plays[0].game.house, card)
    words_of_messages(plays[0].game.house, card)  # tells what the machine's code lacks
    found: list[tuple[Form, Lowered]] = []
    reasons = []
    for form in wanted_forms(plays, wish.only):
        if told is not None:
            told(_called(form), 0)
        most = min((lowered.words.total for _, lowered in found), default=None)
        try:
            lowered = lowered_as(form, card, keep_verdicts=wish.keep_verdicts, check=wish.check, most=most)
        except NotLowered as reason:
            reasons.append((form, reason))
            continue
        found.append((form, lowered))
    if not found:
        raise NotBuilt(reasons)
    form, lowered = min(found, key=lambda each: each[1].words.total)
    report = None if told is None else _reporting(told, _called(form))
    closed = close(lowered.program, Conversation(form.play, card), told=report)
    other = _words(form, card, wish._replace(keep_verdicts=not wish.keep_verdicts))
    unkept, kept = (other, lowered.words) if wish.keep_verdicts else (lowered.words, other)
    return Product(form, lowered, closed, unkept, kept, _check_of(lowered, card, wish))


def _called(form: Form) -> str:
    return f"{form.name} ({form.reading})"


def _reporting(told: Told, name: str) -> Callable[[int], None]:
    return lambda states: told(name, states)


def _words(form: Form, card: CostCard, wish: Wish) -> Words | None:
    """The words of a program, whether it fits or not; None where there is none."""
    try:
        return lowered_as(form, card, keep_verdicts=wish.keep_verdicts, check=wish.check).words
    except TooLong as too_long:
        return too_long.words
    except NotLowered:
        return None


def _check_of(lowered: Lowered, card: CostCard, wish: Wish) -> Check | None:
    if wish.check == NO_CHECK:
        return None
    between_games = wish.check == BETWEEN_GAMES
    took = time_of(lowered.program, between_games=between_games)
    pace = card.program.pace
    return Check(took.instructions, None if pace is None else pace.cycle * took.cycles, between_games)
