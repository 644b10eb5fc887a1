"""`wordtight new`: a commented example of each kind of file."""

import click

from workbench.new import KINDS, write_example
from workbench.output import emit_json, json_option, say, say_next, typed


@click.command("new")
@click.argument("kind", metavar="KIND")
@click.option(
    "-o", "--output", metavar="FILE", help="The file to write, unless it is to have the usual name."
)
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
@json_option
def command(kind: str, output: str | None, force: bool, as_json: bool) -> None:
    """Write a commented example of a file to begin with.

    KIND is rules, table, house-rules, machine, program, game or python-game.
    """
    written = write_example(kind, output, overwrite=force)
    if as_json:
        emit_json({"kind": kind, "file": written})
        return
    say(f"Written: {written}. Open it in any editor of plain text.")
    say_next(KINDS[kind].next_command.format(typed(written)), KINDS[kind].purpose)
