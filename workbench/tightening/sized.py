"""What was found on a machine: the words of its program, for whatever was to be least."""

from collections.abc import Sequence

from budget.card import CostCard
from budget.closing import Unfinished
from budget.forms import built, forms_of
from budget.program_size import ProgramRow, row_of_built
from solver.fixed import FixedPlay, fixed_plays
from solver.proof import prove
from workbench.output import plural, say
from workbench.sizing import total_words
from workbench.tightening.request import Outcome, Request

NO_PROGRAM, STOPPED = "there is no program in this form", "an end was asked for"


def with_words(request: Request, outcome: Outcome) -> Outcome:
    """The outcome with the words of its smallest program, or of the form asked for; without a machine as it is.

    What was found is kept where its program has too many states to go through, or where somebody asks for an end.
    """
    card = request.card
    if card is None or outcome.strategy is None or outcome.record.get("words") is not None:
        return outcome
    least, reason = None, STOPPED
    if not request.line.interrupted:
        plays = fixed_plays(prove(outcome.strategy, request.claim, request.house))
        try:
            least, reason = smallest_program(plays, card, request.encoding), NO_PROGRAM
        except Unfinished as unfinished:
            reason = str(unfinished)
    words = {
        "words": None if least is None else least.total_words,
        "machine": card.name,
        "program": None if least is None else least.as_json(),
        "no_words_because": reason if least is None else None,
    }
    return outcome._replace(record={**outcome.record, **words})


def smallest_program(
    plays: Sequence[FixedPlay], card: CostCard, only: str | None = None
) -> ProgramRow | None:
    """The program of a play with the fewest words, fitting or not, held against the play in every state.

    only: the name of the one form that is wanted.  None where there is no program.
    """
    forms = [form for form in forms_of(plays) if only in (None, form.name)]
    sized = [(words, form) for form in forms if (words := total_words(form, card)) is not None]
    if not sized:
        return None
    _, form = min(sized, key=lambda each: each[0])
    return row_of_built(built(form, card), card)


def tell_words(request: Request, outcome: Outcome) -> None:
    """The words in a sentence, where a machine was named."""
    program = outcome.record.get("program")
    if request.card is None or outcome.strategy is None:
        return
    say()
    if program is None:
        say(f"On {request.card.name} no words are told: {outcome.record['no_words_because']}.")
        return
    fits = "it fits" if program["fits"] else f"{-program['margin']:,} more than the store has"
    say(
        f"On {request.card.name} the smallest program we built of it takes {plural(program['total_words'], 'word')} "
        f"({program['form']}, {program['reading']}): {fits}."
    )
