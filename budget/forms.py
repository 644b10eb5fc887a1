"""The forms in which a machine can have a play: by its rules as they are written, or by all its answers as a table.

Whatever the form, the program is complete, and it is held against the play in every state before anything is said
about it.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from budget.card import CostCard
from budget.closing import Closed, Told, close
from budget.conversation import Conversation
from budget.encodings import encodings
from budget.lowering.answering.sheet import by_rules
from budget.lowering.answering.table import table_answerer
from budget.lowering.checksum import NO_CHECK
from budget.lowering.choices import Search
from budget.lowering.lower import Answerer, Lowered, TooLong, Words, lower, search_for
from budget.lowering.text import NotLowered
from budget.packed import NotApplicable
from solver.fixed import FixedPlay

AS_WRITTEN = "as-written"
"""The form in which the strategy's own rules find the moves."""


class Form(NamedTuple):
    """One form of a play: AS_WRITTEN or an encoding, in the reading in which the play was settled."""

    name: str
    title: str
    play: FixedPlay

    @property
    def reading(self) -> str:
        """Whether boards are taken as they stand, or turned."""
        return self.play.reading


class Built(NamedTuple):
    """What became of a form on a machine.

    lowered: the program, None where there is none or it does not fit; words: how many it takes or would take, None
    where there is none; closed: what was found when it was held against the play; reason: why there is none, or none
    that fits.
    """

    form: Form
    lowered: Lowered | None
    words: Words | None
    closed: Closed | None
    reason: str | None

    @property
    def fits(self) -> bool:
        """Whether there is a program that the store holds."""
        return self.lowered is not None


def forms_of(plays: Sequence[FixedPlay]) -> Iterator[Form]:
    """Every form of a strategy that was settled in one reading or more; as written only where it has rules."""
    for play in plays:
        if has_rules(play):
            yield Form(AS_WRITTEN, "the rules as they are written", play)
        for name, encoding in encodings().items():
            yield Form(name, encoding.TITLE, play)


def has_rules(play: FixedPlay) -> bool:
    """Whether something else than a stored table finds moves in this play."""
    if play.proof is None:
        return False
    return any(not rule.stores_answers for rule in play.proof.walk.strategy.rules)


def lowered_as(
    form: Form, card: CostCard, *, keep_verdicts: bool = False, check: str = NO_CHECK, most: int | None = None
) -> Lowered:
    """The program of a form; for `keep_verdicts`, `check` and `most` see `lower`.

    Raises NotLowered, with the reason, where there is none; TooLong if it is too long.
    """
    return lower(form.play, card, _answerer(form), keep_verdicts=keep_verdicts, check=check, most=most)


def search_of(form: Form, card: CostCard) -> Search[Lowered | TooLong]:
    """The search for the program of a form, not yet begun.  Raises NotLowered where there is none."""
    return search_for(form.play, card, _answerer(form))


def _answerer(form: Form) -> Answerer:
    """How its program finds moves."""
    if form.name == AS_WRITTEN:
        return by_rules
    try:
        return table_answerer(form.play, form.name)
    except NotApplicable as refusal:
        raise NotLowered(str(refusal)) from None


def built(form: Form, card: CostCard, *, thorough: bool = False, told: Told | None = None) -> Built:
    """A form as a program, held against its play in every state.

    thorough: with many wordings of each class of input, and not only one.
    Raises budget.closing.Differs if the program does anything else: a fault of ours.
    """
    try:
        lowered = lowered_as(form, card)
    except TooLong as too_long:
        return Built(form, None, too_long.words, None, str(too_long))
    except NotLowered as reason:
        return Built(form, None, None, None, str(reason))
    closed = close(lowered.program, Conversation(form.play, card, thorough=thorough), told=told)
    return Built(form, lowered, lowered.words, closed, None)
