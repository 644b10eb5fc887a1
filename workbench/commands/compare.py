"""`wordtight compare`: two strategies side by side."""

import click

from budget.card import load_machine
from games.problems import BadInput, Problem
from solver.compare import Comparison, Terms, compare, require_alike
from solver.compare_record import SIDES, comparison_record
from solver.load import Written, load_strategy
from solver.proof import PROVED, prove
from workbench.compare_words import Words, tell_words, words_of
from workbench.options import carried, claim_option, game_option, house_option, seats_option
from workbench.output import emit_json, json_option, say, say_next, typed
from workbench.progress import ProgressLine
from workbench.tell_compare import tell

DRAWN = 3
"""How many boards are drawn unless told."""


@click.command("compare")
@click.argument("a", type=click.Path(dir_okay=False))
@click.argument("b", type=click.Path(dir_okay=False))
@game_option
@seats_option
@claim_option
@house_option
@click.option("--machine", metavar="M", help="A machine, for the words that each takes in its store.")
@click.option(
    "--boards",
    "drawn",
    type=click.IntRange(0),
    default=DRAWN,
    metavar="N",
    help="How many boards to draw on which they differ; 3 unless told.",
)
@json_option
def command(
    a: str,
    b: str,
    machine: str | None,
    drawn: int,
    as_json: bool,
    **options: str | None,
) -> None:
    """Compare A and B, two strategies for the same seat of the same game.

    Where they play differently, what each of them gives away, and how much each
    has to store. Each is judged by the claim in its own header, which may not be
    the same. Ends with status 0 whatever is found.
    """
    written = _load_both((a, b), options)
    card = None if machine is None else load_machine(machine)
    with ProgressLine() as progress:
        found = [
            compare(*(prove(each.strategy(seat), each.claim, each.house, progress) for each in written))
            for seat in written[0].seats
        ]
    words = [[words_of(proof, card) for proof in each.proofs] if card else [] for each in found]
    if as_json:
        machine_keys = {} if card is None else {"machine": card.name, "store_words": card.store_words}
        records = [_record(*each, machine_keys) for each in zip(found, words, strict=True)]
        emit_json(records[0] if len(records) == 1 else {"seats": records})
        return
    for number, (each, sized) in enumerate(zip(found, words, strict=True)):
        if number:
            say()
            say("-" * 80)
        tell(each, drawn)
        if card is not None:
            say()
            tell_words(each, card, sized)
    _say_next(found, machine or "twelve-bit", carried(**options))


def _load_both(files: tuple[str, str], options: dict[str, str | None]) -> list[Written]:
    """Both strategies, or every mistake in either; then whether they can be compared at all."""
    written: list[Written] = []
    problems: list[Problem] = []
    for file in dict.fromkeys(files):
        try:
            written.append(load_strategy(file, **options))
        except BadInput as error:
            problems.extend(error.problems)
    if problems:
        raise BadInput(problems)
    require_alike(Terms.of_file(written[0]), Terms.of_file(written[-1]))
    return [written[0], written[-1]]


def _record(found: Comparison, words: list[Words], machine: dict[str, object]) -> dict[str, object]:
    record = {**comparison_record(found), **machine}
    for name, each in zip(SIDES, words, strict=False):
        record[name].update(each.as_json())
    return record


def _say_next(found: list[Comparison], machine: str, options: str) -> None:
    """The proof of what fails, or else the size of what does not."""
    proofs = [proof for each in found for proof in each.proofs]
    failing = [proof for proof in proofs if proof.verdict != PROVED]
    file = typed((failing or proofs)[0].walk.strategy.file)
    if failing:
        say_next(f"wordtight prove {file}{options}", "why it does not hold, with the line of play")
    else:
        say_next(f"wordtight size {file} --machine {typed(machine)}{options}", "does it fit a machine?")
