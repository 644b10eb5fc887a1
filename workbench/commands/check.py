"""`wordtight check`: whether a file is well written."""

import click

from workbench.check import check_file
from workbench.new import KINDS
from workbench.options import game_option, seats_option
from workbench.output import emit_json, json_option, say, say_next, typed


@click.command("check")
@click.argument("file", type=click.Path(dir_okay=False))
@game_option
@seats_option
@json_option
def command(file: str, game: str | None, seat: str | None, as_json: bool) -> None:
    """Check FILE: a rule sheet, a table, house rules, a machine or a game.

    Every mistake is told with its line; then the status is 2.
    """
    found = check_file(file, game=game, seat=seat)
    if as_json:
        emit_json({"file": file, "well_written": True, "kind": found.kind, "about": found.about})
        return
    say(f"{file} is well written: {found.about}")
    next_command = (
        f"wordtight prove {typed(file)}"
        if found.kind == "rules"
        else KINDS[found.kind].next_command.format(typed(file))
    )
    say_next(next_command, "is it true as well?" if found.kind == "rules" else KINDS[found.kind].purpose)
