"""`wordtight suspect`: a machine has printed what is not due, and some words of its store may be wrong."""

import sys
from typing import Any, NamedTuple

import click

from budget.drilling.table import NoSuchLine, due_at, fitting, step_of, words_to_look_at
from games.problems import bad
from workbench.fault_table import read_fault_table
from workbench.output import emit_json, json_option, plural, say, say_next, typed
from workbench.statuses import STATUS_WRONG

MOST_TOLD = 10
"""Words that are told; `--json` has them all."""


class Symptom(NamedTuple):
    """What was seen once: what was typed since the start, what was printed then, and what is due there."""

    inputs: tuple[str, ...]
    said: str
    due: str


@click.command("suspect")
@click.argument("table", type=click.Path(dir_okay=False))
@click.argument("inputs", nargs=-1)
@click.option(
    "--printed", "said", required=True, metavar="TEXT", help="What the machine printed, or part of it."
)
@click.option(
    "--also",
    nargs=2,
    multiple=True,
    metavar="INPUTS TEXT",
    help='Seen another time, from the start: what was typed ("1 3"), and what was printed. May be repeated.',
)
@json_option
def command(
    table: str, inputs: tuple[str, ...], said: str, also: tuple[tuple[str, str], ...], as_json: bool
) -> None:
    """Look up a wrong print-out in TABLE, which `drill --faults -o` has written.

    INPUTS are what was typed since the machine was started, one after another, up
    to the one after which it printed something else than it should: none if that
    was at the start. A fault has to fit all that was seen. Ends with status 1 if no
    single fault of the drill does.
    """
    drilled = read_fault_table(table)
    seen = [(inputs, said), *((tuple(typed_then.split()), printed) for typed_then, printed in also)]
    try:
        steps = [step_of(drilled, each) for each, _ in seen]
    except NoSuchLine as problem:
        raise bad(str(problem), table) from None
    symptoms = [Symptom(*each, due_at(drilled, step)) for each, step in zip(seen, steps, strict=True)]
    found = fitting(drilled, [(step, each.said) for step, each in zip(steps, symptoms, strict=True)])
    words = words_to_look_at(found)
    if as_json:
        emit_json(_record(table, symptoms, found, words))
    else:
        _tell(table, drilled["words"], symptoms, found, words)
    sys.exit(0 if found else STATUS_WRONG)


def _record(
    table: str, symptoms: list[Symptom], found: list[dict[str, Any]], words: list[tuple[int, int]]
) -> dict[str, Any]:
    first, *others = (
        {"inputs": list(each.inputs), "printed": each.said, "due": each.due} for each in symptoms
    )
    return {
        "table": table,
        **first,
        "also": others,
        "words": [{"address": address, "faults": count} for address, count in words],
        "faults": [{key: fault[key] for key in ("kind", "where", "addresses", "found")} for fault in found],
    }


def _tell(
    table: str,
    names: dict[str, str],
    symptoms: list[Symptom],
    found: list[dict[str, Any]],
    words: list[tuple[int, int]],
) -> None:
    """What was found, in plain lines."""
    for inputs, said, due in symptoms:
        where = f"after {', '.join(map(repr, inputs))}" if inputs else "at the start"
        say(f"{where[0].upper()}{where[1:]} {' '.join(due.split())!r} is due, and {said!r} was printed.")
    if not found:
        does = "does that" if len(symptoms) == 1 else "does all of that"
        say(f"No fault of the drill {does}: more than one thing is wrong, or it is not the store.")
    for address, count in words[:MOST_TOLD]:
        say(
            f"Look at {names[str(address)]}: {plural(count, 'fault')} of that word alone would do it.",
            indent="  ",
        )
    if len(words) > MOST_TOLD:
        say(f"... and at {len(words) - MOST_TOLD} more.", indent="  ")
    for fault in [each for each in found if len(each["addresses"]) > 1][:MOST_TOLD]:
        say(f"Or {fault['kind']}, from {names[str(fault['addresses'][0])]} on.", indent="  ")
    say_next(
        f"wordtight suspect {typed(table)} INPUTS --printed TEXT --also INPUTS TEXT",
        "another print-out, and the words that fit both",
    )
