"""`wordtight run`: a program run on a simulated machine."""

import sys
from collections.abc import Sequence
from itertools import islice
from typing import Any

import click

from budget.card import load_machine
from budget.machine.channel import keyed, printed
from budget.machine.program import Program
from budget.machine.simulator import FAULT, LIMIT, USUAL_LIMIT, Step
from budget.programs import AnyMachine, machine_for, program_of_file
from budget.target.machine import TargetStep
from games.problems import bad
from workbench.options import carried, machine_option
from workbench.output import emit_json, json_option, plural, say, say_lines, say_next, typed
from workbench.statuses import STATUS_UNFINISHED, STATUS_WRONG
from workbench.tell_program import any_trace, bit_lines, counted, ended, said, took, trace_lines

TRACES = ("table", "blank", "bits")
Steps = Sequence[Step | TargetStep]
MOST_STEPS = 1000
"""Steps of a trace: nobody reads more, and they take memory."""


@click.command("run")
@click.argument("file", type=click.Path(dir_okay=False))
@machine_option
@click.option("--input", "text", metavar="TEXT", default="", help=r"What is typed; \n is the Return key.")
@click.option(
    "--trace",
    type=click.Choice(TRACES),
    is_flag=False,
    flag_value="table",
    help="A trace table; a blank one to fill in; or every bit.",
)
@click.option(
    "--limit",
    type=click.IntRange(min=1),
    default=None,
    help=f"Instructions at most; {USUAL_LIMIT:,} unless told.",
)
@json_option
def command(file: str, machine: str, text: str, trace: str | None, limit: int | None, as_json: bool) -> None:
    """Run the program in FILE on a machine, and say what it prints.

    Ends with status 0 when it has halted or waits for more input, with 1 at a
    fault, and with 3 when it runs on and on.
    """
    program = program_of_file(file, load_machine(machine))
    if trace == "bits" and program.card.sheet is not None:
        raise bad("--trace bits shows our own orders; expected --trace table or blank with an order sheet")
    simulated = machine_for(program)
    simulated.feed(keyed(program.card, text.replace("\\n", "\n")))
    steps: Steps = list(islice(simulated.steps(limit or USUAL_LIMIT), MOST_STEPS)) if trace else []
    simulated.run(max((limit or USUAL_LIMIT) - len(steps), 0))
    if as_json:
        emit_json(_record(file, program, simulated, steps))
    else:
        _tell(program, simulated, steps, trace)
        more = carried(input=text or None, trace="blank")
        say_next(f"wordtight run {typed(file)} --machine {typed(machine)}{more}", "act it out on paper")
    sys.exit({FAULT: STATUS_WRONG, LIMIT: STATUS_UNFINISHED}.get(simulated.status, 0))


def _record(file: str, program: Program, machine: AnyMachine, steps: Steps) -> dict[str, Any]:
    """What was found, by its JSON keys."""
    times = machine.times()
    record: dict[str, Any] = {
        "file": file,
        "machine": program.card.name,
        "status": machine.status,
        "fault": machine.fault or None,
        "place": machine.place,
        "printed": printed(program.card, machine.passed),
        "codes_out": machine.passed,
        "instructions": machine.instructions,
        "cycles": machine.clock.cycles,
        "seconds": {name: None if each is None else float(each) for name, each in times._asdict().items()},
        "words_touched": len(machine.touched),
        "words_written": len(machine.written),
    }
    if steps:
        table = any_trace(program, steps)
        record["trace"] = {"titles": list(table.titles), "rows": [list(row) for row in table.rows]}
    return record


def _tell(program: Program, machine: AnyMachine, steps: Steps, trace: str | None) -> None:
    if trace == "bits":
        say_lines(bit_lines(program, steps))
    elif trace is not None and steps:
        say_lines(trace_lines(program, steps, blank=trace == "blank"))
    if trace is not None:
        say()
        if machine.instructions > len(steps):
            say(f"The trace is cut after {len(steps):,} of {machine.instructions:,} instructions.")
    if trace != "blank" and machine.passed:
        say("It prints:")
        say_lines(f"  {line}" for line in said(machine))
        say()
    say(ended(machine))
    times = took(machine.times())
    if times:
        say(times)
    touched = plural(len(machine.touched), "word")
    say(f"It works on {touched} and writes {len(machine.written)} of them. {counted(program)}")
