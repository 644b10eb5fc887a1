"""`wordtight show`: a game's board, lines and rules."""

import click
import numpy as np

from games.codes import FIRST
from games.game import on_board, with_lines
from games.load import load_game
from workbench.draw import line_names
from workbench.output import emit_json, json_option, plural, say, say_lines, say_next, typed


@click.command("show")
@click.argument("game")
@json_option
def command(game: str, as_json: bool) -> None:
    """Draw the board of GAME with its cells, its lines and its rules in words.

    GAME is a name of the catalogue, or a .toml or .py file.
    """
    played = load_game(game)
    marks = with_lines(played)
    lines = [] if marks is None else line_names(marks)
    [start] = played.texts(np.array([played.start], dtype=np.uint64), FIRST)
    if as_json:
        emit_json(
            {
                "game": played.name,
                "title": played.title,
                "from": played.origin,
                "size": played.size,
                "moves": list(played.move_names),
                "lines": [line.split("-") for line in lines],
                "rules": list(played.rules),
                "symmetries": played.symmetries,
                "start": start,
            }
        )
        return
    say(f"{played.title} ({played.name}), {played.size}")
    say()
    say_lines(f"  {row}" for row in played.drawing(played.start, FIRST, named=True))
    say()
    for rule in played.rules:
        say(rule)
    say()
    if lines:
        say(f"Lines: {', '.join(lines)}")
    say(f"It looks the same in {plural(played.symmetries, 'way')}, turned or mirrored (itself included).")
    signs = " (M the machine's, V the visitor's, _ free)" if on_board(played) else ""
    say(f"A position is written like the start: {start}{signs}.")
    if played.origin:
        say(f"From: {played.origin}")
    say_next(f"wordtight solve {typed(game)}", "who wins under best play")
