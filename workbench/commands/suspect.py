"""`wordtight suspect`: a machine has printed what is not due, and some words of its store may be wrong."""

import sys
from typing import Any

import click

from budget.drilling.lines import START
from budget.drilling.table import NoSuchLine, step_of, suspects, words_to_look_at
from games.problems import bad
from workbench.fault_table import read_fault_table
from workbench.main import STATUS_WRONG
from workbench.output import emit_json, json_option, plural, say, say_next, typed

MOST_TOLD = 10
"""Words that are told; `--json` has them all."""


@click.command("suspect")
@click.argument("table", type=click.Path(dir_okay=False))
@click.argument("inputs", nargs=-1)
@click.option(
    "--printed", "said", required=True, metavar="TEXT", help="What the machine printed, or part of it."
)
@json_option
def command(table: str, inputs: tuple[str, ...], said: str, as_json: bool) -> None:
    """Look up a wrong print-out in TABLE, which `drill --faults -o` has written.

    INPUTS are what was typed since the machine was started, one after another, up
    to the one after which it printed something else than it should: none if that
    was at the start. Ends with status 1 if no single fault of the drill fits.
    """
    drilled = read_fault_table(table)
    try:
        step = step_of(drilled, inputs)
    except NoSuchLine as problem:
        raise bad(str(problem), table) from None
    found = suspects(drilled, step, said)
    words = words_to_look_at(found)
    due = drilled["begins"] if step == START else drilled["steps"][step]["printed"]
    if as_json:
        kept = [{key: fault[key] for key in ("kind", "where", "addresses", "found")} for fault in found]
        ranked = [{"address": address, "faults": count} for address, count in words]
        emit_json(
            {
                "table": table,
                "inputs": list(inputs),
                "printed": said,
                "due": due,
                "words": ranked,
                "faults": kept,
            }
        )
    else:
        _tell(table, drilled["words"], inputs, said, due, found, words)
    sys.exit(0 if found else STATUS_WRONG)


def _tell(
    table: str,
    names: dict[str, str],
    inputs: tuple[str, ...],
    said: str,
    due: str,
    found: list[dict[str, Any]],
    words: list[tuple[int, int]],
) -> None:
    """What was found, in plain lines."""
    where = f"after {', '.join(map(repr, inputs))}" if inputs else "at the start"
    say(f"{where[0].upper()}{where[1:]} {' '.join(due.split())!r} is due, and {said!r} was printed.")
    if not found:
        say("No fault of the drill does that: more than one thing is wrong, or it is not the store.")
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
        f"wordtight suspect {typed(table)} INPUTS --printed TEXT",
        "another print-out, and the words that fit both",
    )
