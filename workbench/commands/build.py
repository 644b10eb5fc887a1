"""`wordtight build`: a program as files that a machine loads and people check."""

from pathlib import Path
from typing import Any

import click

from budget.card import load_machine
from budget.images.build import Built, build_files
from budget.machine.listing import word_counts
from budget.machine.program import Program
from budget.programs import program_of_file
from workbench.files import write_folder
from workbench.options import machine_option
from workbench.output import emit_json, json_option, say, say_lines, say_next, typed
from workbench.tell_build import LISTING, LISTING_TITLE, built_lines, listing_text
from workbench.tell_program import counted


@click.command("build")
@click.argument("file", type=click.Path(dir_okay=False))
@machine_option
@click.option(
    "-o", "--output", metavar="DIR", required=True, help="The folder to write, which appears whole."
)
@click.option("--force", is_flag=True, help="Write over a folder that holds such files already.")
@json_option
def command(file: str, machine: str, output: str, force: bool, as_json: bool) -> None:
    """Write the program in FILE as files that a machine loads.

    The listing, Intel HEX, S-records, paper tape in the machine's code, rows to
    type, and a map of the store. Each is read back and compared first.
    """
    program = program_of_file(file, load_machine(machine))
    name = Path(file).stem
    built = build_files(program, name)
    files = {name + LISTING: listing_text(program).encode(), **built.files}
    built = built._replace(files=files, titles={name + LISTING: LISTING_TITLE, **built.titles})
    write_folder(output, built.files, overwrite=force)
    if as_json:
        emit_json(_record(file, output, program, built))
        return
    _tell(output, program, built)
    rows = Path(output) / f"{name}.rows.txt"
    say_next(
        f"wordtight proofread {typed(file)} {typed(rows.as_posix())} --machine {typed(machine)}",
        "in place of the rows, name what was typed or read back",
    )


def _record(file: str, output: str, program: Program, built: Built) -> dict[str, Any]:
    """What was written, by its JSON keys."""
    return {
        "file": file,
        "machine": program.card.name,
        "folder": output,
        "start": program.start,
        "words": word_counts(program),
        "files": [
            {"name": name, "what": built.titles[name], "bytes": len(content)}
            for name, content in built.files.items()
        ],
        "left_out": [{"what": what, "why": why} for what, why in built.left_out.items()],
    }


def _tell(output: str, program: Program, built: Built) -> None:
    """What was written, in plain lines."""
    say(f"Written to the folder {output}:")
    say()
    say_lines(built_lines(built))
    say()
    for what, why in built.left_out.items():
        say(f"There is no {what}: {why}.")
    say(counted(program))
