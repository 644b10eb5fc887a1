"""What was found on a machine: the words of its program, for whatever was to be least."""

from budget.forms import built, forms_of
from budget.program_size import row_of_built, smallest_row
from solver.fixed import fixed_plays
from solver.proof import prove
from workbench.output import plural, say
from workbench.tightening.request import Outcome, Request


def with_words(request: Request, outcome: Outcome) -> Outcome:
    """The outcome with the words of its smallest program, or of the form asked for; without a machine as it is."""
    if request.card is None or outcome.strategy is None or outcome.record.get("words") is not None:
        return outcome
    proof = prove(outcome.strategy, request.claim, request.house)
    rows = [
        row_of_built(built(form, request.card), request.card)
        for form in forms_of(fixed_plays(proof))
        if request.encoding is None or form.name == request.encoding
    ]
    least = smallest_row(rows)
    words = {
        "words": None if least is None else least.total_words,
        "machine": request.card.name,
        "program": None if least is None else least.as_json(),
    }
    return outcome._replace(record={**outcome.record, **words})


def tell_words(request: Request, outcome: Outcome) -> None:
    """The words in a sentence, where a machine was named."""
    program = outcome.record.get("program")
    if request.card is None or outcome.strategy is None:
        return
    say()
    if program is None:
        say(f"On {request.card.name} there is no program in this form.")
        return
    fits = "it fits" if program["fits"] else f"{-program['margin']:,} more than the store has"
    say(
        f"On {request.card.name} the smallest program we built of it takes {plural(program['total_words'], 'word')} "
        f"({program['form']}, {program['reading']}): {fits}."
    )
