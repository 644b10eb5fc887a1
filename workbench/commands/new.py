"""`wordtight new`: a commented example of each kind of file."""

import click

from workbench.new import KINDS, USUAL_GAME, write_example
from workbench.output import emit_json, json_option, say, say_next, typed


@click.command("new")
@click.argument("kind", metavar="KIND")
@click.option(
    "-o", "--output", metavar="FILE", help="The file to write, unless it is to have the usual name."
)
@click.option("--game", metavar="GAME", help="With rules: the game that the sheet is for.")
@click.option("--force", is_flag=True, help="Write over a file that is there already.")
@json_option
def command(kind: str, output: str | None, game: str | None, force: bool, as_json: bool) -> None:
    """Write a commented example of a file to begin with.

    KIND is rules, table, house-rules, machine, characters, order-sheet, program,
    conversation, rubric, game or python-game.
    """
    written = write_example(kind, output, game=game, overwrite=force)
    if as_json:
        emit_json({"kind": kind, "file": written})
        return
    say(f"Written: {written}. Open it in any editor of plain text.")
    following = KINDS[kind].next_command.format(typed(written))
    say_next(following if game is None else following.replace(USUAL_GAME, typed(game)), KINDS[kind].purpose)
