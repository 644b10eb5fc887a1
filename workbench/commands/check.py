"""`wordtight check`: whether a file is well written."""

import click

from workbench.check import check_file
from workbench.new import KINDS
from workbench.options import game_option, seats_option
from workbench.output import emit_json, json_option, say, say_next, typed

NEXT = {
    "rules": ("wordtight prove {}", "is it true as well?"),
    "python-game": ("wordtight solve {}", "who wins under best play"),
    "characters": ("wordtight new machine", 'a cost card can name it: code = "..."'),
    "order-sheet": ("wordtight new machine", 'a cost card can name it: order-sheet = "..."'),
    "stand-log": ("wordtight serve STRATEGY --log {} --replay", "was every answer the strategy's?"),
    "program": ("wordtight assemble {} --machine twelve-bit", "which words is it on a machine?"),
}
"""What comes next where that is not the same as for a file that has just been begun."""


@click.command("check")
@click.argument("file", type=click.Path(dir_okay=False))
@game_option
@seats_option
@json_option
def command(file: str, game: str | None, seat: str | None, as_json: bool) -> None:
    """Check FILE: a strategy, house rules, machine, program, game or log.

    Every mistake is told with its line; then the status is 2. A game written
    in Python is run, and its functions are tried on the positions of the game.
    """
    found = check_file(file, game=game, seat=seat)
    if as_json:
        written = {"file": file, "well_written": True, "kind": found.kind, "about": found.about}
        emit_json({**written, **(found.figures or {})})
        return
    say(f"{file} is well written: {found.about}")
    next_command, purpose = NEXT.get(found.kind) or (
        KINDS[found.kind].next_command,
        KINDS[found.kind].purpose,
    )
    say_next(next_command.format(typed(file)), purpose)
