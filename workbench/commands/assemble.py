"""`wordtight assemble`: a program in words of store."""

import click

from budget.card import load_machine
from budget.machine.listing import as_json as listing_json
from budget.programs import program_of_file
from workbench.options import machine_option
from workbench.output import emit_json, json_option, say, say_lines, say_next, typed
from workbench.tell_program import counted, listing_lines


@click.command("assemble")
@click.argument("file", type=click.Path(dir_okay=False))
@machine_option
@json_option
def command(file: str, machine: str, as_json: bool) -> None:
    """Put the program in FILE into words of a machine's store.

    The listing shows each word with its address and its line. The sum of a row
    changes when a digit is wrong or two words have changed places.
    """
    program = program_of_file(file, load_machine(machine))
    if as_json:
        emit_json({"file": file, **listing_json(program)})
        return
    say_lines(listing_lines(program))
    say()
    say(counted(program))
    say_next(f"wordtight run {typed(file)} --machine {typed(machine)}", "what does it do?")
